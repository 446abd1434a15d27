#include "picture_problems.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

namespace platewise {
namespace {

std::string titles_of_formats() {
  std::string titles;
  for (const Format& format : formats()) {
    if (!titles.empty()) titles += &format == &formats().back() ? " or " : ", ";
    titles += format.title;
  }
  return titles;
}

bool starts_with(std::span<const std::byte> head, std::string_view bytes) {
  return head.size() >= bytes.size() &&
         std::equal(bytes.begin(), bytes.end(), head.begin(),
                    [](char a, std::byte b) { return static_cast<std::byte>(a) == b; });
}

// Kinds of file a photographer may well try, by their first bytes.
std::string_view known_but_not_read(std::span<const std::byte> head) {
  if (starts_with(head, "%PDF")) return "is a PDF document";
  if (starts_with(head, "GIF8")) return "is a GIF (256 colours at most: no densities)";
  if (starts_with(head, "8BPS")) return "is a layered picture of an editing program";
  if (starts_with(head, "<?xml") || starts_with(head, "<svg")) return "is a drawing or a text, not a scan";
  if (starts_with(head, "BM")) return "may be a BMP";
  return "is not a picture of a kind that can be read";
}

bool mentions(const std::string& text, std::initializer_list<const char*> words) {
  std::string lower = text;
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return std::any_of(words.begin(), words.end(),
                     [&](const char* word) { return lower.find(word) != std::string::npos; });
}

}  // namespace

tl::unexpected<Problem> not_a_picture(const std::filesystem::path& path, std::span<const std::byte> head) {
  return failure(path.string(), std::string(known_but_not_read(head)), "save it as " + titles_of_formats());
}

// The library's own words name its operations and say little to a photographer: only their sense is kept.
tl::unexpected<Problem> not_decodable(const std::filesystem::path& path, const Format& format,
                                      const std::string& library_text) {
  if (mentions(library_text, {"not supported", "unsupported", "not configured", "unimplemented",
                              "unknown compression", "not implemented"})) {
    return failure(path.string(), fmt::format("is a {} of a variant that cannot be read", format.title),
                   "save it again as an ordinary 8- or 16-bit TIFF");
  }
  if (mentions(library_text, {"memory", "malloc"})) {
    return failure(path.string(), "needs more memory than there is", "scan at a lower resolution");
  }
  if (mentions(library_text, {"premature", "truncat", "end of file", "end of stream", "eof", "out of data",
                              "not enough", "read error", "end of input", "too short", "bytes; expected"})) {
    return failure(path.string(), fmt::format("is incomplete: the {} file ends too early", format.title),
                   "copy or scan it again");
  }
  return failure(path.string(), fmt::format("is damaged: the {} file cannot be decoded", format.title),
                 "copy or scan it again");
}

tl::unexpected<Problem> too_large(const std::filesystem::path& path, int width_px, int height_px,
                                  double pixels_max) {
  return failure(path.string(),
                 fmt::format("is too large: {} x {} pixels, the limit is {:.0f} megapixels", width_px,
                             height_px, pixels_max / 1e6),
                 "scan at a lower resolution or raise the limit");
}

}  // namespace platewise
