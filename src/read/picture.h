#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "linearise.h"
#include "platewise/core/result.h"
#include "platewise/read/formats.h"

typedef struct _VipsImage VipsImage;  // the library's own handle; its header stays in picture.cpp

namespace platewise {

// What the picture library says about a file before decoding it.
struct PictureHeader {
  PixelLayout layout;
  int height_px = 0;
  int orientation = 1;
  int pages = 1;
  std::optional<double> px_per_mm;
  bool resolution_differs = false;  // along and across
  bool camera_exif = false;
  std::string icc_profile;
  double greatest_code = 255.0;
  int bits = 8;
};

// A picture file that is open for reading once, from top to bottom. The picture library is called in
// picture.cpp and picture_library.cpp only.
class Picture {
 public:
  [[nodiscard]] static Result<Picture> open(const std::filesystem::path& path, const Format& format);

  [[nodiscard]] const PictureHeader& header() const { return header_; }

  // Hands each row of interleaved samples to `take`, in order, while the next ones are being decoded.
  // `take` returns false to stop. A Problem when the file ends early or is damaged.
  [[nodiscard]] Result<void> for_each_row(const std::function<bool(const void*)>& take);

 private:
  struct Close {
    void operator()(VipsImage* image) const;
  };
  Picture(std::filesystem::path path, const Format& format, VipsImage* image);

  std::filesystem::path path_;
  const Format* format_;
  std::unique_ptr<VipsImage, Close> image_;
  PictureHeader header_;
};

// Starts the library on first use and blocks its untrusted loaders.
void start_picture_library();

}  // namespace platewise
