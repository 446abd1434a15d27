#include "accuracy/photographs.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vips/vips8>

#include "platewise/write/write_picture.h"

namespace platewise::heldout {
namespace {

constexpr const char* kFolders[] = {"/usr/share/backgrounds/mate/nature", "/usr/share/backgrounds"};

// sRGB transfer, IEC 61966-2-1.
float linear_of_code(int code) {
  const double value = code / 255.0;
  return static_cast<float>(value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4));
}

bool is_photograph(const std::filesystem::path& file) {
  return file.extension() == ".jpg" || file.extension() == ".jpeg";
}

// The picture library reads the pixels in place: `dense` must be continuous and outlive the image.
vips::VImage image_of(const cv::Mat& dense) {
  return vips::VImage::new_from_memory(dense.data, dense.total() * dense.elemSize(), dense.cols, dense.rows,
                                       dense.channels(),
                                       dense.depth() == CV_16U ? VIPS_FORMAT_USHORT : VIPS_FORMAT_UCHAR);
}

cv::Mat continuous(const cv::Mat& pixels) {
  return pixels.isContinuous() ? pixels : pixels.clone();
}

VipsInterpretation interpretation_of(const cv::Mat& pixels) {
  const bool deep = pixels.depth() == CV_16U;
  if (pixels.channels() == 1) return deep ? VIPS_INTERPRETATION_GREY16 : VIPS_INTERPRETATION_B_W;
  return deep ? VIPS_INTERPRETATION_RGB16 : VIPS_INTERPRETATION_sRGB;
}

void embed_profile(vips::VImage& image) {
  const std::string bytes =
      icc_profile_bytes(image.bands() == 1 ? EmbeddedProfile::grey_gamma_22 : EmbeddedProfile::srgb);
  vips_image_set_blob_copy(image.get_image(), VIPS_META_ICC_NAME, bytes.data(), bytes.size());
}

}  // namespace

std::vector<std::filesystem::path> installed_photographs() {
  std::vector<std::filesystem::path> files;
  for (const char* folder : kFolders) {
    std::error_code failed;
    for (const auto& entry : std::filesystem::directory_iterator(folder, failed))
      if (entry.is_regular_file(failed) && is_photograph(entry.path())) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

cv::Mat photograph(const std::filesystem::path& file, int long_side_px) {
  try {
    vips::VImage image = vips::VImage::thumbnail(file.c_str(), long_side_px,
                                                 vips::VImage::option()->set("size", VIPS_SIZE_BOTH));
    if (image.has_alpha()) image = image.flatten();
    image = image.colourspace(VIPS_INTERPRETATION_sRGB).cast(VIPS_FORMAT_UCHAR);
    size_t length = 0;
    void* data = image.write_to_memory(&length);
    const cv::Mat view(image.height(), image.width(), CV_8UC(image.bands()), data);
    cv::Mat copy = view.clone();
    g_free(data);
    return copy;
  } catch (const vips::VError&) {
    return {};
  }
}

cv::Mat linear_light(const cv::Mat& srgb_codes) {
  cv::Mat table(1, 256, CV_32FC1);
  for (int code = 0; code < 256; ++code) table.at<float>(code) = linear_of_code(code);
  cv::Mat light;
  cv::LUT(srgb_codes, table, light);
  return light;
}

std::filesystem::path write_picture(const PictureFile& picture, const std::filesystem::path& folder,
                                    const std::string& name) {
  const cv::Mat pixels = continuous(picture.pixels);
  try {
    vips::VImage image =
        image_of(pixels).copy(vips::VImage::option()->set("interpretation", interpretation_of(pixels)));
    // libvips counts pixels a millimetre.
    if (picture.dpi > 0.0)
      image = image.copy(
          vips::VImage::option()->set("xres", picture.dpi / 25.4)->set("yres", picture.dpi / 25.4));
    if (picture.profile) embed_profile(image);
    if (picture.camera) {
      image.set("exif-ifd0-Make", "Unnamed (Unnamed, ASCII, 8 components, 8 bytes)");
      image.set("exif-ifd0-Model", "Pocket (Pocket, ASCII, 7 components, 7 bytes)");
    }
    const std::filesystem::path file = folder / (name + (picture.jpeg ? ".jpg" : ".tif"));
    if (picture.jpeg)
      image.jpegsave(file.c_str(), vips::VImage::option()->set("Q", picture.jpeg_quality));
    else
      image.tiffsave(file.c_str());
    return file;
  } catch (const vips::VError& error) {
    throw std::runtime_error(error.what());
  }
}

void write_png(const cv::Mat& rgb_codes, const std::filesystem::path& file) {
  const cv::Mat pixels = continuous(rgb_codes);
  try {
    image_of(pixels)
        .copy(vips::VImage::option()->set("interpretation", interpretation_of(pixels)))
        .pngsave(file.c_str(), vips::VImage::option()->set("compression", 1));
  } catch (const vips::VError& error) {
    throw std::runtime_error(error.what());
  }
}

}  // namespace platewise::heldout
