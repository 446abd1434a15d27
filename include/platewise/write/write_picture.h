#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <optional>
#include <string>

#include "platewise/core/names.h"
#include "platewise/core/result.h"

namespace platewise {

enum class PictureContainer { tiff, png, jpeg };
template <>
struct Names<PictureContainer> {
  static constexpr std::string_view all[] = {"tiff", "png", "jpeg"};
};

enum class TiffCompression { none, lzw, deflate };
template <>
struct Names<TiffCompression> {
  static constexpr std::string_view all[] = {"none", "lzw", "deflate"};
};

// The colour profile to embed: it only labels the code values, pixels are written as they are given.
enum class EmbeddedProfile { none, srgb, grey_gamma_22 };
template <>
struct Names<EmbeddedProfile> {
  static constexpr std::string_view all[] = {"none", "srgb", "grey_gamma_22"};
};

struct PictureFormat {
  PictureContainer container = PictureContainer::tiff;
  TiffCompression compression = TiffCompression::none;  // TIFF only
  bool tiled = false;                                   // TIFF only: tiles of 128 x 128 instead of strips
  int jpeg_quality = 90;                                // 1..100
  std::optional<double> dpi;
  EmbeddedProfile profile = EmbeddedProfile::none;
  std::string icc_profile;   // bytes of a profile to embed instead of `profile`; may be empty
  int orientation = 1;       // EXIF/TIFF orientation tag, not for PNG
  bool from_camera = false;  // JPEG only: adds invented camera EXIF (make, exposure time, f-number, ISO)
};

// The file's bytes. `pixels` is CV_8UC1, CV_8UC3, CV_16UC1 or CV_16UC3, colour in R,G,B order; JPEG takes
// 8 bit only. The same pixels and format always give the same bytes.
[[nodiscard]] Result<std::string> encoded_picture(const cv::Mat& pixels, const PictureFormat& format);

// The same into a file: whole or not at all (see write_file.h).
[[nodiscard]] Result<void> write_picture(const std::filesystem::path& path, const cv::Mat& pixels,
                                         const PictureFormat& format);

// Bytes of the ICC profile itself (version 2, matrix or grey with a tone curve); empty for `none`.
[[nodiscard]] std::string icc_profile_bytes(EmbeddedProfile profile);

}  // namespace platewise
