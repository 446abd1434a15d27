#include "platewise/demo/write_demo.h"

#include <fmt/core.h>

#include <system_error>

#include "demo_day.h"
#include "platewise/demo/render_plate.h"
#include "platewise/write/write_file.h"

namespace platewise {
namespace {

std::string ending(const PictureFormat& format) {
  return format.container == PictureContainer::jpeg ? ".jpg" : ".tif";
}

// Writes one file after another and stops at the first that cannot be written.
class Desk {
 public:
  Desk(std::filesystem::path folder, double jobs,
       const std::function<void(double, const std::string&)>& progress)
      : folder_(std::move(folder)), jobs_(jobs), progress_(progress) {}

  void picture(std::vector<std::filesystem::path>& list, const std::string& name, const cv::Mat& pixels,
               const PictureFormat& format) {
    if (!done_) return;
    const std::filesystem::path path = folder_ / (name + ending(format));
    done_ = write_picture(path, pixels, format);
    if (done_) list.push_back(path);
    ++finished_;
    if (progress_) progress_(finished_ / jobs_, path.filename().string());
  }

  void text(std::vector<std::filesystem::path>& list, const std::string& name, const std::string& bytes) {
    if (!done_) return;
    const std::filesystem::path path = folder_ / name;
    done_ = write_file(path, bytes);
    if (done_) list.push_back(path);
  }

  [[nodiscard]] bool stopped() const { return !done_; }
  [[nodiscard]] const Result<void>& result() const { return done_; }

 private:
  std::filesystem::path folder_;
  double jobs_;
  double finished_ = 0.0;
  const std::function<void(double, const std::string&)>& progress_;
  Result<void> done_{};
};

std::string settings_row(const std::string& file, const DemoPlate& plate) {
  return fmt::format("{},{},{:g}x{:g}mm,{:g},{:g},f/{:g},{:g},{:g},\"{}\"\n", file,
                     name_of(plate.options.process.kind), plate.options.width_mm, plate.options.height_mm,
                     plate.options.exposure_s.value_or(0.0), plate.options.development_s.value_or(0.0),
                     plate.aperture, plate.meter_ev, plate.temperature_c, plate.note);
}

void write_plate(Desk& desk, DemoFiles& files, std::vector<std::filesystem::path>& list,
                 const DemoPlate& plate, std::string& settings) {
  if (desk.stopped()) return;
  const PlateRendering rendering = render_plate(plate.options);
  desk.picture(list, plate.name, rendering.pixels, rendering.format);
  desk.text(files.notes, plate.name + ".truth.json", truth_json(rendering.truth));
  settings += settings_row(plate.name + ending(rendering.format), plate);
}

void write_wedge(Desk& desk, DemoFiles& files, const DemoWedge& wedge) {
  if (desk.stopped()) return;
  const WedgeRendering rendering = render_wedge(wedge.options);
  desk.picture(files.calibration, wedge.name, rendering.pixels, rendering.format);
  desk.text(files.calibration, wedge.name + ".csv", rendering.wedge_csv);
  desk.text(files.notes, wedge.name + ".truth.json", rendering.truth_json);
}

}  // namespace

Result<DemoFiles> write_demo(const std::filesystem::path& folder, std::uint64_t seed,
                             const std::function<void(double, const std::string&)>& progress) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (!std::filesystem::is_directory(folder, error))
    return failure(folder.string(), "this folder cannot be made", "choose a place you may write to");
  const auto plates = demo_plates(seed);
  const auto wedges = demo_wedges(seed);
  const auto curves = demo_curve_plates(seed);
  Desk desk(folder, static_cast<double>(plates.size() + wedges.size() + curves.size()), progress);
  DemoFiles files;
  std::string settings =
      "file,kind,plate_size,exposure_s,development_s,aperture,meter_ev,temperature_c,note\n";
  for (const DemoPlate& plate : plates) write_plate(desk, files, files.plates, plate, settings);
  for (const DemoWedge& wedge : wedges) write_wedge(desk, files, wedge);
  for (const DemoCurvePlate& curve : curves) {
    write_plate(desk, files, files.calibration, curve.plate, settings);
    if (curve.wedge_densities.empty()) continue;
    desk.text(files.calibration, curve.plate.name + ".csv",
              wedge_csv(curve.wedge_densities, curve.plate.options.wedge->densities));
  }
  desk.text(files.notes, "settings.csv", settings);
  desk.text(files.notes, "the-story.txt", demo_story());
  if (desk.stopped()) return tl::make_unexpected(desk.result().error());
  return files;
}

}  // namespace platewise
