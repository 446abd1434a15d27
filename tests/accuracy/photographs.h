#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace platewise::heldout {

// The openly licensed photographs that Debian's background packages carry (scripts/install-deps --test
// installs lomiri-wallpapers-16.04, lomiri-wallpapers-20.04 and mate-backgrounds). Empty where they are not
// installed: the scenes are then drawn ones only. Sorted, so that a seed means the same picture everywhere.
[[nodiscard]] std::vector<std::filesystem::path> installed_photographs();

// A picture file shrunk to cover size x size, as 8-bit sRGB codes, CV_8UC3 in R,G,B order. Empty when
// unreadable.
[[nodiscard]] cv::Mat photograph(const std::filesystem::path& file, int long_side_px);

// The same picture as linear light, 1 = white. CV_32FC3.
[[nodiscard]] cv::Mat linear_light(const cv::Mat& srgb_codes);

// What the scanner or camera writes. Pixels CV_8U or CV_16U with 1 or 3 channels (R,G,B).
struct PictureFile {
  cv::Mat pixels;
  bool jpeg = false;
  int jpeg_quality = 90;
  bool profile = false;  // embedded: sRGB, or gamma 2.2 for grey; otherwise none
  double dpi = 0.0;      // 0: the file does not say
  bool camera = false;   // carries camera EXIF
};

// Writes a TIFF or JPEG into `folder`; returns its path. Throws std::runtime_error.
std::filesystem::path write_picture(const PictureFile& picture, const std::filesystem::path& folder,
                                    const std::string& name);

// An 8-bit PNG for people to look at.
void write_png(const cv::Mat& rgb_codes, const std::filesystem::path& file);

}  // namespace platewise::heldout
