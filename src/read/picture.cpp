#include "picture.h"

#include <vips/vips.h>

#include <cmath>

#include "file_end.h"
#include "picture_problems.h"

namespace platewise {
namespace {

// Text the library left behind, which is then forgotten.
std::string library_text() {
  std::string text = vips_error_buffer();
  vips_error_clear();
  return text;
}

std::optional<PixelLayout> layout_of(VipsImage* image) {
  PixelLayout layout;
  layout.width_px = vips_image_get_width(image);
  const int bands = vips_image_get_bands(image);
  layout.colour_channels = bands <= 2 ? 1 : 3;
  layout.extra_channels = bands - layout.colour_channels;
  switch (vips_image_get_format(image)) {
    case VIPS_FORMAT_UCHAR:
      layout.sample = SampleType::unsigned_8;
      return layout;
    case VIPS_FORMAT_USHORT:
      layout.sample = SampleType::unsigned_16;
      return layout;
    case VIPS_FORMAT_FLOAT:
      layout.sample = SampleType::real_32;
      return layout;
    default:
      return std::nullopt;
  }
}

// Why a picture that could be decoded carries no densities; empty when it does.
std::string_view cannot_be_measured(VipsImage* image) {
  const VipsInterpretation colours = vips_image_get_interpretation(image);
  if (colours == VIPS_INTERPRETATION_CMYK) return "is in CMYK, made for the printing press";
  if (vips_image_get_bands(image) > 4) return "has more than four channels";
  if (!layout_of(image)) return "holds samples that are neither 8-bit, 16-bit nor 32-bit real";
  switch (colours) {
    case VIPS_INTERPRETATION_B_W:
    case VIPS_INTERPRETATION_GREY16:
    case VIPS_INTERPRETATION_sRGB:
    case VIPS_INTERPRETATION_RGB:
    case VIPS_INTERPRETATION_RGB16:
    case VIPS_INTERPRETATION_scRGB:
    case VIPS_INTERPRETATION_MULTIBAND:
      return {};
    default:
      return "is in a colour space that is neither grey nor RGB";
  }
}

bool has_camera_exif(VipsImage* image) {
  constexpr const char* kFields[] = {"exif-ifd2-ExposureTime",    "exif-ifd2-FNumber",
                                     "exif-ifd2-ISOSpeedRatings", "exif-ifd2-PhotographicSensitivity",
                                     "exif-ifd2-FocalLength",     "exif-ifd2-LensModel"};
  for (const char* field : kFields) {
    if (vips_image_get_typeof(image, field) != 0) return true;
  }
  return false;
}

std::string profile_of(VipsImage* image) {
  const void* bytes = nullptr;
  std::size_t size = 0;
  if (vips_image_get_typeof(image, VIPS_META_ICC_NAME) == 0 ||
      vips_image_get_blob(image, VIPS_META_ICC_NAME, &bytes, &size) != 0) {
    return {};
  }
  return {static_cast<const char*>(bytes), size};
}

void read_resolution(VipsImage* image, PictureHeader& header) {
  constexpr double kNotSaid = 1.0;  // px/mm the library puts where the file is silent
  constexpr double kSame = 0.01;
  const double across = vips_image_get_xres(image);
  const double along = vips_image_get_yres(image);
  if (!std::isfinite(across) || !std::isfinite(along) || across <= 0.0 || along <= 0.0) return;
  if (across == kNotSaid && along == kNotSaid) return;
  header.resolution_differs = std::abs(across - along) > kSame * across;
  if (!header.resolution_differs) header.px_per_mm = across;
}

void read_depth(VipsImage* image, PictureHeader& header) {
  constexpr const char* kHeicDepth = "heif-bitdepth";
  header.bits = header.layout.sample == SampleType::unsigned_8    ? 8
                : header.layout.sample == SampleType::unsigned_16 ? 16
                                                                  : 32;
  header.greatest_code = header.bits == 16 ? 65535.0 : 255.0;
  int bits = 0;
  if (header.bits == 16 && vips_image_get_typeof(image, kHeicDepth) != 0 &&
      vips_image_get_int(image, kHeicDepth, &bits) == 0 && bits > 8 && bits < 16) {
    header.bits = bits;  // the library shifts such codes up to 16 bits
    header.greatest_code = ((1 << bits) - 1) << (16 - bits);
  }
}

PictureHeader header_of(VipsImage* image) {
  PictureHeader header;
  header.layout = *layout_of(image);
  header.height_px = vips_image_get_height(image);
  header.orientation = vips_image_get_orientation(image);
  header.pages = vips_image_get_n_pages(image);
  header.camera_exif = has_camera_exif(image);
  header.icc_profile = profile_of(image);
  read_resolution(image, header);
  read_depth(image, header);
  return header;
}

struct RowTaker {
  const std::function<bool(const void*)>* take;
  bool stopped = false;
};

// Runs on the library's writing thread while its other threads decode the rows below.
int take_rows(VipsRegion* region, VipsRect* area, void* user) {
  auto* taker = static_cast<RowTaker*>(user);
  for (int row = 0; row < area->height; ++row) {
    if (!(*taker->take)(VIPS_REGION_ADDR(region, area->left, area->top + row))) {
      taker->stopped = true;
      return -1;
    }
  }
  return 0;
}

}  // namespace

void Picture::Close::operator()(VipsImage* image) const {
  g_object_unref(image);
}

Picture::Picture(std::filesystem::path path, const Format& format, VipsImage* image)
    : path_(std::move(path)), format_(&format), image_(image), header_(header_of(image)) {}

Result<Picture> Picture::open(const std::filesystem::path& path, const Format& format) {
  start_picture_library();
  VipsImage* image = nullptr;
  const std::string loader(format.loader);
  if ((loader == "jpegload" && !jpeg_has_its_end(path)) || (loader == "pngload" && !png_has_its_end(path))) {
    return not_decodable(path, format, "premature end of file");
  }
  if (vips_call(loader.c_str(), path.c_str(), &image, "access", VIPS_ACCESS_SEQUENTIAL, "fail_on",
                VIPS_FAIL_ON_ERROR, nullptr) != 0) {
    return not_decodable(path, format, library_text());
  }
  std::unique_ptr<VipsImage, Close> owner(image);
  if (const std::string_view cause = cannot_be_measured(image); !cause.empty()) {
    return failure(path.string(), std::string(cause), "save it as grey or RGB, 8 or 16 bits");
  }
  return Picture(path, format, owner.release());
}

Result<void> Picture::for_each_row(const std::function<bool(const void*)>& take) {
  RowTaker taker{&take};
  const int failed = vips_sink_disc(image_.get(), take_rows, &taker);
  const std::string text = library_text();
  if (failed == 0 || taker.stopped) return {};
  return not_decodable(path_, *format_, text);
}

}  // namespace platewise
