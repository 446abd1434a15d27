#pragma once

#include <string_view>

// The files of page/, embedded at build time.
namespace platewise::page {

extern const std::string_view kTemplate;
extern const std::string_view kStyle;
extern const std::string_view kScript;

}  // namespace platewise::page
