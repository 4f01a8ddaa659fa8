//! Files of many stations as they come: spoilt, packed, a few bytes at a time.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a check may stop at the first surprise"
)]

use std::io::{Read, Write as _};

use fairspell_tests::past::Draw;

/// An input that gives a few bytes at a time.
pub struct Drops<'a>(pub &'a [u8], pub usize);

impl Read for Drops<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let most = buffer.len().min(self.1);
        (&mut self.0).take(most as u64).read(buffer)
    }
}

const NASTY: [&[u8]; 20] = [
    b",",
    b"\"",
    b"\r",
    b"\n",
    b"\r\n",
    b" ",
    b"-",
    b".",
    b"e",
    b"0",
    b"\xff",
    b"\xc3\xa9",
    b"\xef\xbb\xbf",
    b"\t",
    b"\"\"",
    b"\n\n",
    b",\"",
    b"\",",
    b"\n\"",
    b"A,",
];

/// A file of this text, often with other line ends or a mark before it, one in three spoilt in a few places.
pub fn spoilt(draw: &mut Draw, mut text: String) -> Vec<u8> {
    if draw.is_one_in(5) {
        text = text.replace('\n', "\r\n");
    }
    let mut bytes = text.into_bytes();
    if draw.is_one_in(6) {
        bytes.splice(..0, *b"\xef\xbb\xbf");
    }
    let changes = if draw.is_one_in(3) {
        1 + draw.below(4)
    } else {
        0
    };
    for _ in 0..changes {
        let at = draw.below(bytes.len() + 1);
        match draw.below(7) {
            0 => bytes.truncate(at),
            1 | 2 => {
                let nasty = draw.of(&NASTY).unwrap();
                bytes.splice(at..at, nasty.iter().copied());
            }
            3 if at < bytes.len() => bytes[at] = draw.number().to_le_bytes()[0],
            4 if at < bytes.len() => {
                bytes.remove(at);
            }
            5 => move_lines(draw, &mut bytes),
            6 if draw.is_one_in(20) => {
                bytes.splice(at..at, std::iter::repeat_n(b'7', 65_530 + draw.below(30)));
            }
            _ => {}
        }
    }
    bytes
}

/// Copies or moves some lines to another place.
fn move_lines(draw: &mut Draw, bytes: &mut Vec<u8>) {
    let mut lines: Vec<Vec<u8>> = bytes
        .split_inclusive(|byte| *byte == b'\n')
        .map(<[u8]>::to_vec)
        .collect();
    if lines.is_empty() {
        return;
    }
    let from = draw.below(lines.len());
    let to = from + 1 + draw.below((lines.len() - from).min(30));
    let some: Vec<Vec<u8>> = if draw.is_one_in(2) {
        lines[from..to].to_vec()
    } else {
        lines.drain(from..to).collect()
    };
    let at = draw.below(lines.len() + 1);
    lines.splice(at..at, some);
    *bytes = lines.concat();
}

/// Packed by gzip.
pub fn packed(bytes: &[u8]) -> Vec<u8> {
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(bytes).unwrap();
    packer.finish().unwrap()
}
