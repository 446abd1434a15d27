// Times the program on large scans and tells each as a ratio to just decoding the same file in the same run,
// which other machines and other load change little. Prints a table, and JSON with --json FILE.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "child_run.h"
#include "large_scans.h"
#include "platewise/pipeline/score_plate.h"
#include "platewise/write/write_file.h"
#include "stream_mean.h"

namespace platewise::bench {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

struct Options {
  fs::path folder = "build/benchmark";
  fs::path json_file;
  int times = 5;
  double gigapixel_mp = 1000.0;
  int archive_scans = 200;
  std::string stream, tones;
  std::string self;
};

struct Row {
  std::string what;
  double value = 0.0;
  double target = 0.0;
  bool at_least = false;
  std::string unit;

  [[nodiscard]] bool met() const { return at_least ? value >= target : value <= target; }
};

void add(std::vector<Row>& rows, Row row) {
  fmt::print("{:<66} {:>8.2f} {:<3} target {} {:<6g} {}\n", row.what, row.value, row.unit,
             row.at_least ? "at least" : "at most ", row.target, row.met() ? "met" : "MISSED");
  std::fflush(stdout);
  rows.push_back(std::move(row));
}

bool made(const fs::path& file, ScanKind kind, double megapixels) {
  const auto done = make_scan(file, kind, megapixels);
  if (!done) fmt::print(stderr, "{}\n", done.error().message());
  return done.has_value();
}

// Score with all detectors, and only as far as the tones, against decoding.
void ratios(const Options& options, const std::string& what, const fs::path& file, double tones_target,
            double score_target, double peak_target_mb, std::vector<Row>& rows) {
  const Cost decode = best_of(options.times, {options.self, "--stream", file});
  const Cost tones = best_of(options.times, {options.self, "--tones", file});
  const Cost score = best_of(options.times, {PLATEWISE_BINARY, "score", file});
  if (!decode.succeeded || !tones.succeeded || !score.succeeded)
    fmt::print(stderr, "{}: a run failed\n", what);
  fmt::print(
      "{}: decoding {:.2f} s {:.0f} MB, to the tones {:.2f} s {:.0f} MB, whole score {:.2f} s {:.0f} MB\n",
      what, decode.wall_s, decode.peak_mb, tones.wall_s, tones.peak_mb, score.wall_s, score.peak_mb);
  if (tones_target > 0.0)
    add(rows, {what + ": to the tones / decoding", tones.wall_s / decode.wall_s, tones_target, false, ""});
  add(rows, {what + ": whole score / decoding", score.wall_s / decode.wall_s, score_target, false, ""});
  add(rows, {what + ": peak memory", std::max(score.peak_mb, tones.peak_mb), peak_target_mb, false, "MB"});
}

// How time grows with the pixels: the slope of log time on log pixels between the smallest and the largest.
void growth(const Options& options, std::vector<Row>& rows) {
  const double sizes_mp[] = {10.0, 100.0, options.gigapixel_mp};
  std::vector<double> wall;
  double peak = 0.0;
  for (const double megapixels : sizes_mp) {
    const fs::path file = options.folder / fmt::format("tiled-{:.0f}-mp.tif", megapixels);
    if (!made(file, ScanKind::tiled_grey_8, megapixels)) return;
    const Cost cost = best_of(megapixels > 500.0 ? 1 : options.times, {PLATEWISE_BINARY, "score", file});
    wall.push_back(cost.wall_s);
    peak = std::max(peak, cost.peak_mb);
    fmt::print("tiled, {:.0f} megapixels: {:.2f} s, {:.0f} MB\n", megapixels, cost.wall_s, cost.peak_mb);
  }
  const double exponent = std::log(wall.back() / wall.front()) / std::log(options.gigapixel_mp / sizes_mp[0]);
  add(rows, {"10 to 1000 megapixels: exponent of time in pixels", exponent, 1.05, false, ""});
  add(rows, {"1000 megapixels: peak memory", peak, 450.0, false, "MB"});
}

void archive(const Options& options, std::vector<Row>& rows) {
  const fs::path folder = options.folder / fmt::format("archive-{}", options.archive_scans);
  fs::create_directories(folder);
  if (!made(folder / "scan-000.tif", ScanKind::grey_16, 6.0)) return;
  for (int i = 1; i < options.archive_scans; ++i) {
    const fs::path file = folder / fmt::format("scan-{:03}.tif", i);
    if (!fs::exists(file)) fs::copy_file(folder / "scan-000.tif", file);
  }
  const std::vector<std::string> score{PLATEWISE_BINARY, "score", folder, "--json-lines"};
  std::vector<std::string> alone = score;
  alone.insert(alone.end(), {"--jobs", "1"});
  const Cost one = run_once(alone, "0");
  const Cost both = run_once(score, "0,1");
  fmt::print("{} scans: one core {:.1f} s {:.0f} MB, two cores {:.1f} s {:.0f} MB\n", options.archive_scans,
             one.wall_s, one.peak_mb, both.wall_s, both.peak_mb);
  add(rows, {fmt::format("{} scans: two cores' throughput / one core's", options.archive_scans),
             one.wall_s / both.wall_s, 1.8, true, ""});
}

// The stages from reading to tones, without looking for faults.
int score_to_tones(const std::string& file) {
  const PictureLibrary library("platewise_benchmark");
  ScoreOptions options;
  options.look_for_faults = false;
  return score_plate(file, options) ? 0 : 1;
}

int run(const Options& options) {
  fs::create_directories(options.folder);
  std::vector<Row> rows;
  const fs::path grey = options.folder / "grey-16-bit-105-mp.tif";
  const fs::path rgb = options.folder / "rgb-16-bit-105-mp.tif";
  const fs::path jpeg = options.folder / "phone-12-mp.jpg";
  if (!made(grey, ScanKind::grey_16, 105.0) || !made(rgb, ScanKind::rgb_16, 105.0) ||
      !made(jpeg, ScanKind::jpeg_rgb_8, 12.0)) {
    return 1;
  }
  ratios(options, "105 megapixels, 16 bit grey", grey, 2.0, 4.0, 300.0, rows);
  ratios(options, "105 megapixels, 16 bit RGB", rgb, 2.0, 4.0, 300.0, rows);
  ratios(options, "12 megapixels, JPEG", jpeg, 0.0, 8.0, 250.0, rows);
  if (options.archive_scans > 0) archive(options, rows);
  if (options.gigapixel_mp > 0.0) growth(options, rows);
  json list = json::array();
  for (const Row& row : rows)
    list.push_back({{"what", row.what}, {"value", row.value}, {"target", row.target}, {"met", row.met()}});
  if (options.json_file.empty()) return 0;
  return write_file(options.json_file, list.dump(2) + "\n") ? 0 : 1;
}

}  // namespace
}  // namespace platewise::bench

int main(int argc, char** argv) {
  using namespace platewise::bench;
  Options options;
  options.self = argv[0];
  CLI::App app{"Times platewise against just decoding the file"};
  app.add_option("--folder", options.folder, "where the large scans are made and kept")
      ->capture_default_str();
  app.add_option("--json", options.json_file, "write the figures there too");
  app.add_option("--times", options.times, "runs of each; the fastest counts")->capture_default_str();
  app.add_option("--archive", options.archive_scans, "scans in the folder test; 0 leaves it out")
      ->capture_default_str();
  app.add_option("--gigapixel", options.gigapixel_mp, "megapixels of the largest scan; 0 leaves it out")
      ->capture_default_str();
  app.add_option("--stream", options.stream, "only decode this file (used by the program itself)");
  app.add_option("--tones", options.tones, "only score this file to its tones (used by the program itself)");
  CLI11_PARSE(app, argc, argv);
  if (!options.stream.empty()) return stream_mean(options.stream);
  if (!options.tones.empty()) return score_to_tones(options.tones);
  return run(options);
}
