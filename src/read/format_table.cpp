#include <algorithm>
#include <array>
#include <initializer_list>

#include "platewise/read/formats.h"

namespace platewise {
namespace {

using Head = std::span<const std::byte>;

bool has_at(Head head, std::size_t offset, std::string_view bytes) {
  return head.size() >= offset + bytes.size() &&
         std::equal(bytes.begin(), bytes.end(), head.begin() + static_cast<std::ptrdiff_t>(offset),
                    [](char a, std::byte b) { return static_cast<std::byte>(a) == b; });
}

// TIFF 6.0 section 2, and BigTIFF with 43 in place of 42.
bool is_tiff(Head head) {
  using std::string_view_literals::operator""sv;
  return has_at(head, 0, "II*\0"sv) || has_at(head, 0, "MM\0*"sv) || has_at(head, 0, "II+\0"sv) ||
         has_at(head, 0, "MM\0+"sv);
}

bool is_png(Head head) {
  return has_at(head, 0, "\x89PNG\r\n\x1a\n");
}

bool is_jpeg(Head head) {
  return has_at(head, 0, "\xff\xd8\xff");
}

// ISO/IEC 23008-12: a file-type box whose first brand is one of these.
bool is_heic(Head head) {
  return has_at(head, 4, "ftyp") &&
         std::ranges::any_of(std::array{"heic", "heix", "hevc", "hevx", "heim", "heis", "mif1", "msf1"},
                             [&](const char* brand) { return has_at(head, 8, brand); });
}

// ISO/IEC 15444-1: the signature box of a JP2 file, or a bare codestream.
bool is_jpeg2000(Head head) {
  return has_at(head, 4, "jP  \r\n\x87\n") || has_at(head, 0, "\xff\x4f\xff\x51");
}

bool is_webp(Head head) {
  return has_at(head, 0, "RIFF") && has_at(head, 8, "WEBP");
}

constexpr Format kFormats[] = {
    {"tiff", "TIFF", "tiffload", is_tiff},         {"png", "PNG", "pngload", is_png},
    {"jpeg", "JPEG", "jpegload", is_jpeg},         {"heic", "HEIC", "heifload", is_heic},
    {"jp2", "JPEG 2000", "jp2kload", is_jpeg2000}, {"webp", "WebP", "webpload", is_webp},
};

}  // namespace

std::span<const Format> formats() {
  return kFormats;
}

const Format* format_of(Head head) {
  const auto* found = std::find_if(std::begin(kFormats), std::end(kFormats),
                                   [&](const Format& format) { return format.recognises(head); });
  return found == std::end(kFormats) ? nullptr : found;
}

}  // namespace platewise
