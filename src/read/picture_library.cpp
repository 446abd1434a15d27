#include <malloc.h>
#include <vips/vips.h>

#include <opencv2/core/utility.hpp>

#include "picture.h"
#include "platewise/read/read_scan.h"

namespace platewise {
namespace {

// Pictures of some megabytes come and go all the time: kept in the heap they are not fetched from the system,
// page by page, each time anew, which costs a tenth of a run.
void keep_freed_pictures() {
#ifdef __GLIBC__
  constexpr int kLargestPictureBytes = 16 << 20;  // larger ones are few, and kept they would raise the peak
  constexpr int kKeptBytes = 64 << 20;
  mallopt(M_MMAP_THRESHOLD, kLargestPictureBytes);
  mallopt(M_TRIM_THRESHOLD, kKeptBytes);
  mallopt(M_ARENA_MAX, 1);  // else each thread keeps its own
#endif
}

void say_nothing(const char*, GLogLevelFlags, const char*, void*) {}

bool start() {
  keep_freed_pictures();
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
