// The late winter of a garden in C++17: which dates to prune and to spray on, what a date risks, and what the past week's
// hours would have allowed. Handles free themselves, statuses become exceptions.
//
//   late_winter STATION HOURS SITE YEAR
#include <cstdint>
#include <exception>
#include <fstream>
#include <iostream>
#include <iterator>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include <fairspell.h>

namespace {

void check(fairspell_status status) {
  if (status == FAIRSPELL_OK) {
    return;
  }
  std::size_t needed = 0;
  fairspell_last_error(nullptr, 0, &needed);
  std::string words(needed, '\0');
  fairspell_last_error(words.data(), words.size(), &needed);
  words.resize(needed > 0 ? needed - 1 : 0);
  throw std::runtime_error(words);
}

// A handle that is freed with its scope.
template <typename T, fairspell_status (*release)(T **)>
struct Release {
  void operator()(T *handle) const { release(&handle); }
};
template <typename T, fairspell_status (*release)(T **)>
using Handle = std::unique_ptr<T, Release<T, release>>;

using Site = Handle<fairspell_site, fairspell_site_free>;
using Record = Handle<fairspell_record, fairspell_record_free>;
using Season = Handle<fairspell_season, fairspell_season_free>;
using Past = Handle<fairspell_past, fairspell_past_free>;
using Operation = Handle<fairspell_operation, fairspell_operation_free>;
using Hindcast = Handle<fairspell_hindcast, fairspell_hindcast_free>;

std::string bytes_of(const std::string &name) {
  std::ifstream file(name, std::ios::binary);
  if (!file) {
    throw std::runtime_error(name + ": cannot be read");
  }
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

std::string kind_of(const fairspell_season *season, std::size_t plant) {
  std::size_t needed = 0;
  fairspell_season_plant_kind(season, plant, nullptr, 0, &needed);
  std::string kind(needed, '\0');
  check(fairspell_season_plant_kind(season, plant, kind.data(), kind.size(), &needed));
  kind.resize(needed - 1);
  return kind;
}

void print_season(const fairspell_record *record, const fairspell_site *site, std::int32_t year) {
  fairspell_season_options options;
  check(fairspell_season_options_init(&options, sizeof options, year));
  options.replicates = 0; // no intervals are shown
  fairspell_season *made = nullptr;
  check(fairspell_season_plan(record, site, &options, sizeof options, &made));
  const Season season(made);
  fairspell_season_facts facts;
  check(fairspell_season_about(season.get(), &facts, sizeof facts));
  for (std::size_t plant = 0; plant < facts.plants; ++plant) {
    fairspell_plant_season own;
    check(fairspell_season_plant(season.get(), plant, &own, sizeof own));
    std::cout << own.count << ' ' << kind_of(season.get(), plant) << ": ";
    if (own.prune_best == FAIRSPELL_NO_TIME) {
      std::cout << "no dates\n";
      continue;
    }
    std::cout << "prune " << own.prune_from << " to " << own.prune_to << ", best " << own.prune_best << '\n';
    std::vector<fairspell_damage> days(own.days);
    std::size_t needed = 0;
    check(fairspell_season_damage(season.get(), plant, days.data(), sizeof(fairspell_damage), days.size(), &needed));
    for (const fairspell_damage &day : days) {
      if (day.date == own.prune_best) {
        std::cout << "  damage then, inferred: " << day.probability << '\n';
      }
    }
  }
}

void print_past(const std::string &name, const fairspell_site *site) {
  const std::string bytes = bytes_of(name);
  fairspell_past *read = nullptr;
  check(fairspell_past_read(name.c_str(), bytes.data(), bytes.size(), site, &read));
  const Past past(read);
  fairspell_operation *built_in = nullptr;
  check(fairspell_operation_built_in("oil", &built_in));
  const Operation oil(built_in);
  fairspell_hindcast_options options;
  check(fairspell_hindcast_options_init(&options, sizeof options));
  fairspell_hindcast *judged = nullptr;
  check(fairspell_hindcast_judge(past.get(), 0, oil.get(), site, &options, sizeof options, &judged));
  const Hindcast hindcast(judged);
  fairspell_hindcast_facts facts;
  check(fairspell_hindcast_about(hindcast.get(), &facts, sizeof facts));
  std::cout << facts.counts.fair << " hours fair, " << facts.counts.hindered << " hindered, " << facts.counts.unknown
            << " unknown, " << facts.spells << " spells\n";
}

} // namespace

int main(int argc, char **argv) {
  try {
    const std::vector<std::string> arguments(argv + 1, argv + argc);
    if (arguments.size() != 4) {
      throw std::runtime_error("usage: late_winter STATION HOURS SITE YEAR");
    }
    const std::string site_bytes = bytes_of(arguments[2]);
    fairspell_site *read = nullptr;
    check(fairspell_site_read(arguments[2].c_str(), site_bytes.data(), site_bytes.size(), &read));
    const Site site(read);
    const std::string days = bytes_of(arguments[0]);
    fairspell_record_options how;
    check(fairspell_record_options_init(&how, sizeof how));
    fairspell_record *station = nullptr;
    check(fairspell_record_read(arguments[0].c_str(), days.data(), days.size(), nullptr, &how, sizeof how, &station));
    const Record record(station);
    print_season(record.get(), site.get(), static_cast<std::int32_t>(std::stoi(arguments[3])));
    print_past(arguments[1], site.get());
    return 0;
  } catch (const std::exception &error) {
    std::cerr << error.what() << '\n';
    return 2;
  }
}
