#include "band_family.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "platewise/stats/nfa.h"

namespace platewise {
namespace {

// A rectangle is made of equal parts of the plate along the bands and across them.
constexpr int kStrips = 6;
constexpr int kBands = 10;
constexpr int kReach = 1;  // directions to both sides that count as the same
constexpr double kClear = 1.4;
constexpr double kByChance = 1.0 / 9.0;
constexpr double kPriorPlaces = 8.0;
constexpr double kPlacesForOne = 3.0;
constexpr double kLeastShare = 0.4;  // of the places in the rectangle
constexpr double kLeastShareBeyond = 0.3;
constexpr double kLeastLength = 18.0;  // units; handbook: ridges and streaks are 20 mm and longer
constexpr double kLeastPeriods = 2.5;  // across
constexpr int kFewestPlaces = 8;

bool prefers(const BandCell& cell, int direction) {
  const int apart = std::abs(cell.direction - direction);
  return std::min(apart, kBandDirections - apart) <= kReach && cell.clearness > kClear;
}

int mirrored(int direction) {
  return (kBandDirections - direction) % kBandDirections;
}

double log10_tail(const BandFamily& family, double by_chance) {
  return log10_binomial_tail(family.places, family.preferring, std::min(by_chance, 0.95));
}

// Places of one or of several neighbouring band widths.
struct Places {
  std::vector<BandCell> cells;
  int widths = 0;
  double least_period = 0.0;
  double mean_period = 0.0;
};

std::vector<Places> groups(const std::vector<BandField>& fields) {
  std::vector<Places> all;
  for (std::size_t first = 0; first < fields.size(); ++first) {
    Places places;
    places.least_period = fields[first].period_units;
    double periods = 0.0;
    for (std::size_t last = first; last < fields.size(); ++last) {
      places.cells.insert(places.cells.end(), fields[last].cells.begin(), fields[last].cells.end());
      periods += fields[last].period_units;
      places.widths += 1;
      places.mean_period = periods / places.widths;
      all.push_back(places);
    }
  }
  return all;
}

// The places as seen along one direction, sorted into strips and bands.
class Lattice {
 public:
  Lattice(const Places& places, int direction) : places_(places), direction_(direction) {
    const double angle = band_angle(direction);
    const Point along{std::cos(angle), std::sin(angle)};
    std::vector<double> all_s;
    std::vector<double> all_t;
    for (const BandCell& cell : places.cells) {
      const double s = cell.at_units.x * along.x + cell.at_units.y * along.y;
      const double t = cell.at_units.y * along.x - cell.at_units.x * along.y;
      all_s.push_back(s);
      all_t.push_back(t);
      from_s_ = std::min(from_s_, s);
      to_s_ = std::max(to_s_, s);
      from_t_ = std::min(from_t_, t);
      to_t_ = std::max(to_t_, t);
    }
    for (std::size_t i = 0; i < places.cells.size(); ++i) {
      const bool hit = prefers(places.cells[i], direction);
      const std::size_t at =
          index(part(all_s[i], from_s_, to_s_, kStrips), part(all_t[i], from_t_, to_t_, kBands));
      count_[at] += 1;
      hits_[at] += hit;
      strength_[at] += hit ? places.cells[i].strength : 0.0;
      all_hits_ += hit;
      mirrored_hits_ += prefers(places.cells[i], mirrored(direction));
    }
  }

  // The rectangle least likely by chance, without the number of tests; `tests` is raised by those looked at.
  void look(std::optional<BandFamily>& best, double& tests) const {
    for (const Part& part : large_parts()) {
      tests += 1.0;
      const Seen seen = seen_in(part);
      if (seen.count < kFewestPlaces || seen.hits < kLeastShare * seen.count) continue;
      const BandFamily found = family(grown(part), seen);
      if (!best || found.log10_nfa < best->log10_nfa) best = found;
    }
  }

 private:
  struct Seen {
    int count = 0;
    int hits = 0;
    double strength = 0.0;
  };

  static std::size_t index(int strip, int band) {
    return static_cast<std::size_t>(strip) * kBands + static_cast<std::size_t>(band);
  }
  static int part(double value, double from, double to, int parts) {
    return std::clamp(static_cast<int>((value - from) / std::max(1e-9, to - from) * parts), 0, parts - 1);
  }

  // Of the lattice: strips s0 to s1, bands t0 to t1.
  struct Part {
    int s0 = 0;
    int s1 = 0;
    int t0 = 0;
    int t1 = 0;
  };

  [[nodiscard]] double strip() const { return (to_s_ - from_s_) / kStrips; }
  [[nodiscard]] double band() const { return (to_t_ - from_t_) / kBands; }

  [[nodiscard]] std::vector<Part> large_parts() const {
    std::vector<Part> parts;
    for (int s0 = 0; s0 < kStrips; ++s0)
      for (int s1 = s0 + 1; s1 <= kStrips; ++s1)
        for (int t0 = 0; t0 < kBands; ++t0)
          for (int t1 = t0 + 1; t1 <= kBands; ++t1)
            if ((s1 - s0) * strip() >= kLeastLength &&
                (t1 - t0) * band() >= kLeastPeriods * places_.least_period)
              parts.push_back({s0, s1, t0, t1});
    return parts;
  }

  [[nodiscard]] BandFamily family(const Part& part, const Seen& seen) const {
    const double for_one = kPlacesForOne * std::sqrt(places_.widths);
    BandFamily family{.direction = direction_,
                      .along_from = from_s_ + part.s0 * strip(),
                      .along_to = from_s_ + part.s1 * strip(),
                      .across_from = from_t_ + part.t0 * band(),
                      .across_to = from_t_ + part.t1 * band(),
                      .period_units = places_.mean_period,
                      .strength = seen.strength / seen.hits,
                      .places = std::max(1L, std::lround(seen.count / for_one)),
                      .preferring = std::lround(seen.hits / for_one),
                      .by_chance = chance_for(seen)};
    family.log10_nfa = log10_tail(family, family.by_chance);
    return family;
  }

  [[nodiscard]] Seen seen_in(const Part& part) const {
    Seen seen;
    for (int s = part.s0; s < part.s1; ++s) {
      for (int t = part.t0; t < part.t1; ++t) {
        seen.count += count_[index(s, t)];
        seen.hits += hits_[index(s, t)];
        seen.strength += strength_[index(s, t)];
      }
    }
    return seen;
  }

  // The bands go on beyond the clearest part, weaker.
  [[nodiscard]] Part grown(Part part) const {
    const auto go_on = [&](const Part& beside) {
      const Seen seen = seen_in(beside);
      return seen.count > 0 && seen.hits >= kLeastShareBeyond * seen.count;
    };
    while (part.s0 > 0 && go_on({part.s0 - 1, part.s0, part.t0, part.t1})) --part.s0;
    while (part.s1 < kStrips && go_on({part.s1, part.s1 + 1, part.t0, part.t1})) ++part.s1;
    while (part.t0 > 0 && go_on({part.s0, part.s1, part.t0 - 1, part.t0})) --part.t0;
    while (part.t1 < kBands && go_on({part.s0, part.s1, part.t1, part.t1 + 1})) ++part.t1;
    return part;
  }

  // The probability that a place prefers the direction without any bands on the film.
  [[nodiscard]] double chance_for(const Seen& seen) const {
    const double all = static_cast<double>(places_.cells.size());
    const double prior = kPriorPlaces * kByChance;
    const double elsewhere = (all_hits_ - seen.hits + prior) / (all - seen.count + kPriorPlaces);
    const double mirror = (mirrored_hits_ + prior) / (all + kPriorPlaces);
    return std::max({elsewhere, mirror, kByChance});
  }

  const Places& places_;
  int direction_;
  double from_s_ = std::numeric_limits<double>::max();
  double to_s_ = std::numeric_limits<double>::lowest();
  double from_t_ = std::numeric_limits<double>::max();
  double to_t_ = std::numeric_limits<double>::lowest();
  std::array<int, static_cast<std::size_t>(kStrips* kBands)> count_{};
  std::array<int, static_cast<std::size_t>(kStrips* kBands)> hits_{};
  std::array<double, static_cast<std::size_t>(kStrips* kBands)> strength_{};
  int all_hits_ = 0;
  int mirrored_hits_ = 0;
};

}  // namespace

Point BandFamily::place(double along, double across) const {
  const double angle = band_angle(direction);
  return {along * std::cos(angle) - across * std::sin(angle),
          along * std::sin(angle) + across * std::cos(angle)};
}

void judge_by_picture(BandFamily& family, const BandField& finest) {
  const double angle = band_angle(family.direction);
  double places = kPriorPlaces;
  double preferring = kPriorPlaces * kByChance;
  for (const BandCell& cell : finest.cells) {
    const double s = cell.at_units.x * std::cos(angle) + cell.at_units.y * std::sin(angle);
    const double t = cell.at_units.y * std::cos(angle) - cell.at_units.x * std::sin(angle);
    if (s < family.along_from || s > family.along_to || t < family.across_from || t > family.across_to)
      continue;
    places += 1.0;
    preferring += prefers(cell, family.direction);
  }
  if (preferring / places <= family.by_chance) return;
  family.log10_nfa += log10_tail(family, preferring / places) - log10_tail(family, family.by_chance);
  family.by_chance = preferring / places;
}

std::optional<BandFamily> strongest_family(const std::vector<BandField>& fields,
                                           const std::vector<int>& directions) {
  std::optional<BandFamily> best;
  double tests = 1.0;
  for (const Places& places : groups(fields)) {
    if (places.cells.size() < static_cast<std::size_t>(kFewestPlaces)) continue;
    for (const int direction : directions) Lattice(places, direction).look(best, tests);
  }
  if (best) best->log10_nfa += std::log10(tests);
  return best;
}

}  // namespace platewise
