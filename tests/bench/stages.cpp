// Each stage by itself on one plate: an invented one of 100 x 125 mm at 12 px/mm, or the scan named first.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <filesystem>
#include <opencv2/imgproc.hpp>

#include "platewise/demo/render_plate.h"
#include "platewise/faults/find_faults.h"
#include "platewise/pipeline/score_plate.h"
#include "platewise/regions/find_regions.h"
#include "platewise/tones/measure_tones.h"
#include "platewise/write/write_picture.h"

namespace platewise {
namespace {

// The inputs of every stage, made once.
struct Plate {
  std::filesystem::path file;
  Scan scan;
  PlateOutline outline;
  PlateDensity density;
  Regions regions;

  explicit Plate(std::filesystem::path scan_file) : file(std::move(scan_file)) {
    scan = read_scan(file).value();
    outline = locate_plate(scan, {});
    density = to_density(scan, outline, {}).value();
    regions = find_regions(density.image, {});
    density = anchored(std::move(density), scan, outline, regions, {});
  }
};

std::filesystem::path named_file;

std::filesystem::path invented_scan() {
  PlateOptions options;
  options.width_mm = 100.0;
  options.height_mm = 125.0;
  const PlateRendering rendering = render_plate(options);
  const auto file = std::filesystem::temp_directory_path() / "platewise-stages.tif";
  if (!write_picture(file, rendering.pixels, rendering.format)) std::abort();
  return file;
}

const Plate& plate() {
  static const Plate one(named_file.empty() ? invented_scan() : named_file);
  return one;
}

void read(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(read_scan(plate().file));
}
void locate(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(locate_plate(plate().scan, {}));
}
void density(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(to_density(plate().scan, plate().outline, {}));
}
void regions(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(find_regions(plate().density.image, {}));
}
void tones(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(measure_tones(plate().density, plate().regions, {}));
}
void faults(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(find_faults(plate().density, plate().regions, {}));
}

// The measure for the detectors: second derivatives at five scales over the same picture.
void hessian(benchmark::State& state) {
  const cv::Mat& picture = plate().density.image.density;
  cv::Mat smooth, xx, xy, yy;
  for (auto _ : state) {
    for (const double sigma : {1.0, 2.0, 4.0, 8.0, 16.0}) {
      cv::GaussianBlur(picture, smooth, {}, sigma);
      cv::Sobel(smooth, xx, CV_32F, 2, 0);
      cv::Sobel(smooth, xy, CV_32F, 1, 1);
      cv::Sobel(smooth, yy, CV_32F, 0, 2);
      benchmark::DoNotOptimize(yy.data);
    }
  }
}

BENCHMARK(read)->Unit(benchmark::kMillisecond);
BENCHMARK(locate)->Unit(benchmark::kMillisecond);
BENCHMARK(density)->Unit(benchmark::kMillisecond);
BENCHMARK(regions)->Unit(benchmark::kMillisecond);
BENCHMARK(tones)->Unit(benchmark::kMillisecond);
// Their processor time counts all threads, so that their ratio can be told on a busy machine too.
BENCHMARK(faults)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK(hessian)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();

}  // namespace
}  // namespace platewise

int main(int argc, char** argv) {
  const platewise::PictureLibrary library("platewise_stages");
  benchmark::Initialize(&argc, argv);
  if (argc > 1) platewise::named_file = argv[1];
  platewise::plate();  // its making is not to be timed
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
