#include "whole_page.h"

#include <openssl/sha.h>

#include <array>
#include <initializer_list>
#include <string_view>
#include <utility>

#include "escape.h"
#include "page.h"
#include "words.h"

namespace platewise {
namespace {

std::string sha256_base64(std::string_view text) {
  std::array<unsigned char, SHA256_DIGEST_LENGTH> digest{};
  SHA256(reinterpret_cast<const unsigned char*>(text.data()), text.size(), digest.data());
  return base64(digest);
}

// Each {{NAME}} of the template once, in order; values are not searched again.
std::string filled(std::string_view text,
                   std::initializer_list<std::pair<std::string_view, std::string_view>> values) {
  std::string page;
  while (!text.empty()) {
    const std::size_t open = text.find("{{");
    page += text.substr(0, open);
    if (open == std::string_view::npos) break;
    const std::size_t close = text.find("}}", open);
    const std::string_view name = text.substr(open + 2, close - open - 2);
    for (const auto& [key, value] : values) {
      if (key == name) page += value;
    }
    text.remove_prefix(close + 2);
  }
  return page;
}

// JSON inside a script element must not be able to close it.
std::string json_for_script(const std::string& json) {
  std::string safe;
  for (const char c : json) {
    if (c == '<') {
      safe += "\\u003c";
    } else {
      safe += c;
    }
  }
  return safe;
}

}  // namespace

std::string whole_page(const PageParts& parts) {
  return filled(page::kTemplate, {{"STYLE_HASH", sha256_base64(page::kStyle)},
                                  {"SCRIPT_HASH", sha256_base64(page::kScript)},
                                  {"LANGUAGE", words::kLanguage},
                                  {"TITLE", parts.title},
                                  {"HEADING", parts.heading},
                                  {"SKIP", parts.skip},
                                  {"STYLE", page::kStyle},
                                  {"SCRIPT", page::kScript},
                                  {"ROOM_BUTTON", words::kRoomButton},
                                  {"ROOM_CAUTION", words::kRoomCaution},
                                  {"BODY", parts.body},
                                  {"DATA", json_for_script(parts.data)}});
}

}  // namespace platewise
