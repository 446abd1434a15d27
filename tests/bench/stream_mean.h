#pragma once

#include <string>

namespace platewise::bench {

// Streams a picture through the decoder once and takes the mean of its values: the least any program that
// looks at every pixel must do. Returns the exit status.
int stream_mean(const std::string& file);

}  // namespace platewise::bench
