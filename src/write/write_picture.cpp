#include "platewise/write/write_picture.h"

#include <vips/vips.h>

#include <memory>

#include "platewise/write/write_file.h"

namespace platewise {
namespace {

struct Unref {
  void operator()(VipsImage* image) const { g_object_unref(image); }
};
using Image = std::unique_ptr<VipsImage, Unref>;

constexpr double kMmPerInch = 25.4;
constexpr int kTileSidePx = 128;

// The library's start-up may run again: only its first call does anything.
bool library_started() {
  static const bool started = vips_init("platewise") == 0;
  return started;
}

tl::unexpected<Problem> refused(const char* what) {
  vips_error_clear();
  return failure("picture", what);
}

bool writable(const cv::Mat& pixels) {
  const bool depth = pixels.depth() == CV_8U || pixels.depth() == CV_16U;
  return !pixels.empty() && pixels.dims == 2 && depth && (pixels.channels() == 1 || pixels.channels() == 3);
}

VipsInterpretation interpretation_of(const cv::Mat& pixels) {
  const bool wide = pixels.depth() == CV_16U;
  if (pixels.channels() == 1) return wide ? VIPS_INTERPRETATION_GREY16 : VIPS_INTERPRETATION_B_W;
  return wide ? VIPS_INTERPRETATION_RGB16 : VIPS_INTERPRETATION_sRGB;
}

void add_camera_fields(VipsImage* image) {
  vips_image_set_string(image, "exif-ifd0-Make", "Invented Cameras");
  vips_image_set_string(image, "exif-ifd0-Model", "Pocket One");
  vips_image_set_string(image, "exif-ifd2-ExposureTime", "1/60");
  vips_image_set_string(image, "exif-ifd2-FNumber", "18/10");
  vips_image_set_string(image, "exif-ifd2-ISOSpeedRatings", "100");
  vips_image_set_string(image, "exif-ifd2-FocalLength", "43/10");
}

// Borrows the pixels: `pixels` must be continuous and outlive the image.
Image labelled_image(const cv::Mat& pixels, const PictureFormat& format) {
  const VipsBandFormat depth = pixels.depth() == CV_16U ? VIPS_FORMAT_USHORT : VIPS_FORMAT_UCHAR;
  const Image raw(vips_image_new_from_memory(pixels.data, pixels.total() * pixels.elemSize(), pixels.cols,
                                             pixels.rows, pixels.channels(), depth));
  VipsImage* labelled = nullptr;
  const double px_per_mm = format.dpi.value_or(0.0) / kMmPerInch;
  if (!raw || vips_copy(raw.get(), &labelled, "interpretation", interpretation_of(pixels), "xres",
                        format.dpi ? px_per_mm : 1.0, "yres", format.dpi ? px_per_mm : 1.0, nullptr) != 0) {
    return nullptr;
  }
  Image image(labelled);
  const std::string icc = format.icc_profile.empty() ? icc_profile_bytes(format.profile) : format.icc_profile;
  if (!icc.empty()) vips_image_set_blob_copy(image.get(), VIPS_META_ICC_NAME, icc.data(), icc.size());
  if (format.dpi) vips_image_set_string(image.get(), VIPS_META_RESOLUTION_UNIT, "in");
  if (format.orientation != 1) vips_image_set_int(image.get(), VIPS_META_ORIENTATION, format.orientation);
  if (format.from_camera) add_camera_fields(image.get());
  return image;
}

int save_tiff(VipsImage* image, const PictureFormat& format, void** bytes, std::size_t* size) {
  constexpr VipsForeignTiffCompression kCompressions[] = {VIPS_FOREIGN_TIFF_COMPRESSION_NONE,
                                                          VIPS_FOREIGN_TIFF_COMPRESSION_LZW,
                                                          VIPS_FOREIGN_TIFF_COMPRESSION_DEFLATE};
  return vips_tiffsave_buffer(image, bytes, size, "compression",
                              kCompressions[static_cast<std::size_t>(format.compression)], "predictor",
                              VIPS_FOREIGN_TIFF_PREDICTOR_HORIZONTAL, "tile", format.tiled, "tile_width",
                              kTileSidePx, "tile_height", kTileSidePx, nullptr);
}

int save(VipsImage* image, const PictureFormat& format, void** bytes, std::size_t* size) {
  switch (format.container) {
    case PictureContainer::tiff:
      return save_tiff(image, format, bytes, size);
    case PictureContainer::png:
      return vips_pngsave_buffer(image, bytes, size, nullptr);
    case PictureContainer::jpeg:
      return vips_jpegsave_buffer(image, bytes, size, "Q", format.jpeg_quality, nullptr);
  }
  return -1;
}

}  // namespace

Result<std::string> encoded_picture(const cv::Mat& pixels, const PictureFormat& format) {
  if (!library_started()) return refused("the picture library could not be started");
  if (!writable(pixels)) return refused("only 8- or 16-bit grey or colour pixels can be written");
  if (format.container == PictureContainer::jpeg && pixels.depth() != CV_8U) {
    return refused("JPEG holds 8 bits only: write a TIFF or PNG");
  }
  const cv::Mat packed = pixels.isContinuous() ? pixels : pixels.clone();
  const Image image = labelled_image(packed, format);
  void* bytes = nullptr;
  std::size_t size = 0;
  if (!image || save(image.get(), format, &bytes, &size) != 0) return refused("could not be encoded");
  std::string encoded(static_cast<const char*>(bytes), size);
  g_free(bytes);
  return encoded;
}

Result<void> write_picture(const std::filesystem::path& path, const cv::Mat& pixels,
                           const PictureFormat& format) {
  auto encoded = encoded_picture(pixels, format);
  if (!encoded) return failure(path.string(), encoded.error().what, encoded.error().remedy);
  return write_file(path, *encoded);
}

}  // namespace platewise
