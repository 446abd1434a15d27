#include "stream_mean.h"

#include <vips/vips.h>

#include <cstdio>

namespace platewise::bench {

int stream_mean(const std::string& file) {
  if (vips_init("stream_mean") != 0) return 1;
  VipsImage* picture = vips_image_new_from_file(file.c_str(), "access", VIPS_ACCESS_SEQUENTIAL, nullptr);
  double mean = 0.0;
  const bool done = picture != nullptr && vips_avg(picture, &mean, nullptr) == 0;
  if (picture != nullptr) g_object_unref(picture);
  if (done) std::printf("%.6g\n", mean);
  vips_shutdown();
  return done ? 0 : 1;
}

}  // namespace platewise::bench
