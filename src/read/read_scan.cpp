#include "platewise/read/read_scan.h"

#include <fmt/format.h>

#include <atomic>
#include <exception>
#include <future>

#include "file_check.h"
#include "file_facts.h"
#include "linearise.h"
#include "orientation.h"
#include "picture.h"
#include "picture_problems.h"
#include "platewise/read/sha256.h"
#include "shrink.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;

constexpr double kMmPerInch = 25.4;
constexpr double kDpiAtMost = 20000.0;  // no scanner has more

// Values that programs write when they know nothing.
bool is_filler(double dpi) {
  constexpr double kFillers[] = {72.0, 96.0};
  constexpr double kRounding = 0.5;
  for (const double filler : kFillers) {
    if (std::abs(dpi - filler) < kRounding) return true;
  }
  return false;
}

std::optional<double> resolution_dpi(const PictureHeader& header, const FileFacts& facts) {
  if (!header.px_per_mm || facts.resolution_is_only_a_ratio) return std::nullopt;
  // Files hold whole numbers or ratios of an inch; going through mm leaves rounding in the last digits.
  const double dpi = std::round(*header.px_per_mm * kMmPerInch * 1000.0) / 1000.0;
  return dpi > 0.0 && dpi <= kDpiAtMost ? std::optional(dpi) : std::nullopt;
}

Result<void> check_depth(const fs::path& path, const FileFacts& facts, const PictureHeader& header) {
  if (facts.bits > 0 && facts.bits < 8) {
    return failure(path.string(),
                   fmt::format("has only {} bit{} a pixel: too few tones to measure densities", facts.bits,
                               facts.bits == 1 ? "" : "s"),
                   "scan in grey or colour with 8 or 16 bits");
  }
  // Codes of 12 bits, say, come in the low end of 16: their full scale cannot be told.
  if (header.bits == 16 && facts.bits > 8 && facts.bits < 16) {
    return failure(path.string(), fmt::format("has {} bits a channel", facts.bits),
                   "save it with 8 or 16 bits a channel");
  }
  return {};
}

CodeSpace code_space(const PictureHeader& header) {
  CodeSpace codes;
  codes.channels = header.layout.colour_channels;
  codes.sixteen_bit = header.layout.sample == SampleType::unsigned_16;
  codes.count = codes.sixteen_bit ? 65536 : 256;
  if (header.layout.sample == SampleType::real_32) codes.count = 0;
  codes.greatest = header.greatest_code;
  return codes;
}

ColourConversion conversion_for(const PictureHeader& header, const Format& format,
                                const ReadOptions& options) {
  const CodeSpace codes = code_space(header);
  std::optional<ColourConversion> conversion;
  if (!header.icc_profile.empty()) {
    conversion = conversion_by_profile(header.icc_profile, codes, header.layout.extra_channels);
  }
  const bool ignored = !header.icc_profile.empty() && !conversion;
  if (!conversion) {
    // Phones write 10-bit HEIC for viewing; only scanners leave 16 bits linear.
    const bool for_viewing = format.name == "heic";
    conversion =
        assumed_conversion(codes, for_viewing ? UnprofiledSixteenBit::gamma : options.unprofiled_16_bit);
  }
  if (ignored) {
    conversion->warnings.emplace_back(
        "The embedded colour profile is damaged or does not fit the picture: it was ignored.");
  }
  return options.inverted ? inverted(std::move(*conversion), codes) : *std::move(conversion);
}

void add_warnings(Scan& scan, const PictureHeader& header, const FileFacts& facts) {
  if (header.pages > 1) {
    scan.warnings.push_back(
        fmt::format("The file holds {} pictures: only the first one was read.", header.pages));
  }
  if (header.resolution_differs) {
    scan.warnings.emplace_back(
        "The resolutions across and along differ: the file's resolution was not used.");
  }
  if (facts.indexed_colours) {
    scan.warnings.emplace_back(
        "The file holds indexed colours, 256 at most: densities are coarse. Scan in grey or RGB.");
  }
}

void add_channel_warnings(Scan& scan, const PictureHeader& header, bool transparent) {
  if (header.layout.extra_channels == 0) return;
  scan.warnings.emplace_back(transparent
                                 ? "Parts of the picture are marked transparent (or it has an infrared "
                                   "channel): that channel was left out and their stored tones were used."
                                 : "An extra channel (transparency or infrared) was left out.");
}

ShrinkGrid grid_for(const PictureHeader& header, const OrientationSteps& steps, int factor) {
  ShrinkGrid grid{.width_px = header.layout.width_px, .height_px = header.height_px, .factor = factor};
  const auto missing = [factor](int pixels) { return (factor - pixels % factor) % factor; };
  if (steps.flips_cols) grid.pad_cols = missing(grid.width_px);
  if (steps.flips_rows) grid.pad_rows = missing(grid.height_px);
  return grid;
}

// Decodes the whole picture into working pixels, still as stored.
Result<LinearImage> shrunk(Picture& picture, const fs::path& path, Lineariser& lineariser,
                           const ShrinkGrid& grid, const ReadOptions& options) {
  Shrinker shrinker(grid, picture.header().layout.colour_channels == 3);
  std::string trouble;
  int rows = 0;
  const int report_every = std::max(1, grid.height_px / 100);
  const auto take = [&](const void* samples) {
    try {
      shrinker.add(lineariser(samples));
      if (++rows % report_every == 0 && options.progress) {
        options.progress(static_cast<double>(rows) / grid.height_px);
      }
    } catch (const std::exception& exception) {  // must not cross the library's threads
      trouble = exception.what();
    }
    return trouble.empty() && !lineariser.met_impossible_value();
  };
  if (const Result<void> read = picture.for_each_row(take); !read) return tl::make_unexpected(read.error());
  if (lineariser.met_impossible_value()) {
    return failure(path.string(), "holds real numbers that are not light: below 0, above 1 or not a number",
                   "scale them to 0..1 or save the picture with 16 bits");
  }
  if (!trouble.empty()) return failure(path.string(), "could not be read: " + trouble);
  return shrinker.take();
}

// Device channels of the shrunk picture to linear sRGB: a matrix may as well follow the averaging.
void to_linear_srgb(LinearImage& image, const ColourConversion& conversion) {
  if (image.rgb.empty() || conversion.pixels) return;
  const cv::Matx33f matrix(conversion.linear_srgb_from_channels);
  image.rgb.forEach<cv::Vec3f>([&](cv::Vec3f& pixel, const int*) { pixel = matrix * pixel; });
}

Scan described(const fs::path& path, const PictureHeader& header, const FileFacts& facts,
               const OrientationSteps& steps) {
  Scan scan;
  scan.path = path;
  scan.width_px = steps.swaps_axes ? header.height_px : header.layout.width_px;
  scan.height_px = steps.swaps_axes ? header.layout.width_px : header.height_px;
  scan.bits = header.bits;
  scan.channels = header.layout.colour_channels;
  scan.resolution_dpi = resolution_dpi(header, facts);
  scan.from_camera = header.camera_exif || facts.camera_exif;
  add_warnings(scan, header, facts);
  return scan;
}

Result<Scan> read_picture(Picture& picture, const fs::path& path, const Format& format,
                          const FileFacts& facts, const ReadOptions& options) {
  const PictureHeader& header = picture.header();
  const OrientationSteps steps = steps_of(header.orientation);
  Scan scan = described(path, header, facts, steps);
  const ColourConversion conversion = conversion_for(header, format, options);
  scan.colour_profile = conversion.description;

  const bool credible = scan.resolution_dpi && !scan.from_camera && !is_filler(*scan.resolution_dpi);
  const int factor = shrink_factor(header.layout.width_px, header.height_px,
                                   credible ? scan.resolution_dpi : std::nullopt, options);
  Lineariser lineariser(header.layout, conversion, options.inverted);
  Result<LinearImage> image = shrunk(picture, path, lineariser, grid_for(header, steps, factor), options);
  if (!image) return tl::make_unexpected(image.error());
  to_linear_srgb(*image, conversion);
  scan.image = turned(std::move(*image), steps);
  scan.scan_px_per_working_px = factor;
  scan.warnings.insert(scan.warnings.end(), conversion.warnings.begin(), conversion.warnings.end());
  add_channel_warnings(scan, header, lineariser.met_transparency());
  return scan;
}

Result<Scan> read_checked(const fs::path& path, const ReadOptions& options) {
  const auto head = checked_head(path);
  if (!head) return tl::make_unexpected(head.error());
  const Format* format = format_of(*head);
  if (format == nullptr) return not_a_picture(path, *head);
  const FileFacts facts = file_facts(path, format->name, *head);
  Result<Picture> picture = Picture::open(path, *format);
  if (!picture) return tl::make_unexpected(picture.error());
  const PictureHeader& header = picture->header();
  const double pixels = static_cast<double>(header.layout.width_px) * header.height_px;
  if (pixels > options.scan_pixels_max) {
    return too_large(path, header.layout.width_px, header.height_px, options.scan_pixels_max);
  }
  if (const Result<void> depth = check_depth(path, facts, header); !depth) {
    return tl::make_unexpected(depth.error());
  }
  std::future<std::string> sha256 = std::async(std::launch::async, sha256_of_file, path);
  Result<Scan> scan = read_picture(*picture, path, *format, facts, options);
  if (scan) scan->sha256 = sha256.get();
  return scan;
}

}  // namespace

Result<Scan> read_scan(const fs::path& path, const ReadOptions& options) {
  try {
    return read_checked(path, options);
  } catch (const std::bad_alloc&) {
    return failure(path.string(), "needs more memory than there is", "scan at a lower resolution");
  } catch (const std::exception& exception) {
    return failure(path.string(), std::string("could not be read: ") + exception.what());
  }
}

}  // namespace platewise
