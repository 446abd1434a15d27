// Any bytes as a scan of any format: a picture with finite light, or a Problem.
#include <sys/mman.h>
#include <unistd.h>

#include <opencv2/core.hpp>
#include <string>

#include "fuzz.h"
#include "platewise/read/read_scan.h"

using namespace platewise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const PictureLibrary library("fuzz");
  static const int file = ::memfd_create("scan", MFD_CLOEXEC);
  static const std::string path = "/proc/self/fd/" + std::to_string(file);
  fuzz::must(::ftruncate(file, 0) == 0);
  if (::pwrite(file, data, size, 0) != static_cast<ssize_t>(size)) return 0;
  ReadOptions options;
  options.scan_pixels_max = 2e6;
  options.working_pixels_max = 1e5;
  const Result<Scan> scan = read_scan(path, options);
  if (!scan) {
    fuzz::must(!scan.error().message().empty());
    return 0;
  }
  fuzz::must(scan->width_px > 0 && scan->height_px > 0);
  fuzz::must(cv::checkRange(scan->image.luminance));
  return 0;
}
