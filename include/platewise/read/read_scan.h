#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>

#include "platewise/core/names.h"
#include "platewise/core/result.h"
#include "platewise/read/scan.h"

namespace platewise {

// How 16-bit values without a profile are meant: scanner software writes either. Linear is the default
// because a 16-bit file without a profile is nearly always a raw scan.
enum class UnprofiledSixteenBit { linear, gamma };
template <>
struct Names<UnprofiledSixteenBit> {
  static constexpr std::string_view all[] = {"linear", "gamma"};
};

struct ReadOptions {
  double working_px_per_mm = 12.0;  // where the resolution is credible
  // Known plate size: without a credible resolution the frame's long side is taken for the plate's, so that
  // a photo is not shrunk below working_px_per_mm.
  std::optional<double> plate_long_side_mm;
  double working_pixels_max = 6e6;  // whatever the resolution says
  double scan_pixels_max = 4e9;     // refuse larger files
  UnprofiledSixteenBit unprofiled_16_bit = UnprofiledSixteenBit::linear;
  bool inverted = false;  // the scan was turned into a positive: undo it on the code values
  std::function<void(double)> progress = {};  // 0..1, called now and then from any thread; may be empty
};

// Starts the picture library once for the process and blocks its untrusted loaders. main owns one.
class PictureLibrary {
 public:
  explicit PictureLibrary(const char* program_name);
  ~PictureLibrary();
  PictureLibrary(const PictureLibrary&) = delete;
  PictureLibrary& operator=(const PictureLibrary&) = delete;

  // How many threads one picture may use: 1 where several are read at once. Without a call: all cores.
  static void threads_per_picture(int threads);
};

// Reads a scan in one streaming pass: decodes, undoes the profile's tone curve, and averages linear
// light into working pixels while keeping each one's least and greatest value.
// TIFF 8/16 bit, PNG, JPEG, HEIC, JPEG 2000, WebP; grey or RGB, alpha dropped with a warning.
// Fails with a Problem naming the file when it is missing, empty, a folder, not a picture, truncated,
// over the pixel limit, or of a kind that carries no density (CMYK, more than 4 channels).
[[nodiscard]] Result<Scan> read_scan(const std::filesystem::path& path, const ReadOptions& options = {});

}  // namespace platewise
