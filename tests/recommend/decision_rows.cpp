// The rows of the decision tables on other plates than the test's, for developing the advice.
// decision_rows render FILE FIRST LAST   renders, measures and keeps the tones of these variations
// decision_rows judge FILE               advises on them and prints how many hold each row
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>

#include "platewise/pipeline/score_plate.h"
#include "rendered_rows.h"
#include "tones/rendered_plate.h"

namespace platewise::trade {
namespace {

std::string cell(const std::optional<Quantity>& q) {
  return q ? fmt::format("{:.5f} {:.5f} ", q->value, q->u) : "- - ";
}
std::string cell(const std::optional<double>& q) {
  return q ? fmt::format("{:.5f} ", *q) : "- ";
}

void keep(std::ostream& out, const Row& row, int variation) {
  const RowPlate made = plate_of(row, variation);
  RenderedPlate plate = rendered(made.options, fmt::format("row-{}-{}", row.code, variation));
  if (!shows_its_shadows(row, plate.truth)) return;
  ScoreOptions ask;
  ask.kind = row.kind;
  if (made.with_device) ask.device = true_device(made.options.device, plate.truth.light);
  ask.locate.corners_px = plate.truth.corners_px;
  ask.locate.plate_size = PlateSizeMm{plate.truth.width_mm, plate.truth.height_mm, {}};
  ask.settings = settings_of(row);
  const auto score = score_plate(std::move(plate.scan), ask);
  if (!score || !score->tones) {
    std::cerr << row.code << " " << variation << " failed\n";
    return;
  }
  const Tones& t = *score->tones;
  const bool leak = std::ranges::any_of(
      score->faults.found, [](const auto& f) { return f.id == "light_leak" && f.confidence >= 0.5; });
  out << row.code << ' ' << variation << ' ' << leak << ' ' << t.calibrated << ' ' << t.support_seen << ' '
      << cell(t.support_density) << cell(t.margin_density) << cell(t.floor_density) << cell(t.fog)
      << cell(t.margin_fog) << cell(t.floor_over_margin) << cell(t.midtone_density)
      << cell(t.highlight_density) << cell(t.range) << cell(t.empty_shadow_fraction)
      << cell(t.blocked_highlight_fraction) << "\n"
      << std::flush;
}

std::optional<double> number(std::istream& in) {
  std::string text;
  in >> text;
  if (text == "-") return std::nullopt;
  return std::stod(text);
}
std::optional<Quantity> quantity(std::istream& in) {
  const auto v = number(in), u = number(in);
  if (!v) return std::nullopt;
  return Quantity{*v, *u};
}

int judge(const char* file, bool tell) {
  std::ifstream in(file);
  struct Count {
    int n = 0, word = 0, exposure = 0, development = 0;
    std::map<std::string, int> words;
    std::string told;
  };
  std::map<std::string, Count> counts;
  std::string line;
  while (std::getline(in, line)) {
    std::istringstream cells(line);
    std::string code;
    int variation;
    bool leak;
    Tones t;
    cells >> code >> variation >> leak >> t.calibrated >> t.support_seen;
    for (auto* q : {&t.support_density, &t.margin_density, &t.floor_density, &t.fog, &t.margin_fog,
                    &t.floor_over_margin, &t.midtone_density, &t.highlight_density, &t.range})
      *q = quantity(cells);
    t.empty_shadow_fraction = number(cells);
    t.blocked_highlight_fraction = number(cells);
    const auto row = std::ranges::find_if(rows(), [&](const Row& r) { return r.code == code; });
    if (row == rows().end()) continue;
    const auto advice = recommend(t, {.kind = row->kind, .settings = settings_of(*row), .light_leak = leak});
    if (!advice) continue;
    const Held held = held_by(*row, *advice);
    Count& c = counts[code];
    ++c.n;
    c.word += held.word;
    c.exposure += held.exposure;
    c.development += held.development;
    ++c.words[std::string(name_of(advice->diagnosis))];
    c.told += fmt::format("   {:2} {} {:34} {:+.2f} [{:+.2f} {:+.2f}] {:+.0f}% | {}\n", variation,
                          t.calibrated ? "dev" : "   ", name_of(advice->diagnosis), advice->exposure.change,
                          advice->exposure.low, advice->exposure.high, advice->development.change,
                          line.substr(line.find(' ')));
  }
  int w = 0, e = 0, d = 0, n = 0;
  for (const Row& row : rows()) {
    const Count& c = counts[row.code];
    fmt::print("{:9} n {:2} word {:2} exposure {:2} development {:2}  ", row.code, c.n, c.word, c.exposure,
               c.development);
    for (const auto& [word, k] : c.words) fmt::print("{} {}, ", word, k);
    fmt::print("\n");
    if (tell) fmt::print("{}", c.told);
    w += c.word;
    e += c.exposure;
    d += c.development;
    n += c.n;
  }
  fmt::print("all       n {} word {} exposure {} development {}\n", n, w, e, d);
  return 0;
}

}  // namespace
}  // namespace platewise::trade

int main(int argc, char** argv) {
  using namespace platewise::trade;
  const std::string what = argc > 2 ? argv[1] : "";
  if (what == "judge") return judge(argv[2], argc > 3);
  if (what != "render" || argc < 5) return 2;
  testing::InitGoogleTest(&argc, argv);
  std::ofstream out(argv[2]);
  for (int v = std::atoi(argv[3]); v <= std::atoi(argv[4]); ++v)
    for (const Row& row : rows()) keep(out, row, v);
}
