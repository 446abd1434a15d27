#include <vips/vips.h>

#include <opencv2/core/utility.hpp>

#include "picture.h"
#include "platewise/read/read_scan.h"

namespace platewise {
namespace {

void say_nothing(const char*, GLogLevelFlags, const char*, void*) {}

bool start() {
  g_log_set_default_handler(say_nothing, nullptr);  // what matters comes back as a Problem
  if (vips_init("platewise") != 0) return false;
  vips_block_untrusted_set(TRUE);
  // Untrusted in 8.14 for want of fuzzing upstream; tests/read and tests/fuzz feed it damaged files.
  vips_operation_block_set("VipsForeignLoadJp2k", FALSE);
  vips_cache_set_max(0);  // a file may be rewritten between two reads under the same name
  return true;
}

}  // namespace

void start_picture_library() {
  static const bool started = start();
  (void)started;
}

PictureLibrary::PictureLibrary(const char* /*program_name*/) {
  start_picture_library();
}

void PictureLibrary::threads_per_picture(int threads) {
  vips_concurrency_set(threads);
  cv::setNumThreads(threads);
}

PictureLibrary::~PictureLibrary() {
  vips_shutdown();
}

}  // namespace platewise
