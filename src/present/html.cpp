#include "platewise/present/html.h"

#include <fmt/format.h>
#include <openssl/sha.h>

#include <array>
#include <initializer_list>
#include <utility>

#include "escape.h"
#include "markup.h"
#include "page.h"
#include "platewise/json/score_json.h"
#include "platewise/present/overlay.h"
#include "platewise/present/section.h"
#include "platewise/present/text.h"
#include "words.h"

namespace platewise {
namespace {

constexpr int kThumbnailLongSidePx = 260;

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
std::string json_for_script(std::string json) {
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

std::string title_of(const PlateScore& score) {
  return escaped(score.scan.path.filename().string());
}

Result<std::string> article(const PlateScore& score, std::size_t number) {
  std::string html = fmt::format("<article id=\"plate-{}\"><h1>{}</h1>", number, title_of(score));
  for (const Section& section : report_sections()) {
    if (!section.applies(score)) continue;
    const Result<std::string> body = section.body_html(score);
    if (!body) return body;
    html += fmt::format(
        "<section id=\"plate-{0}-{1}\" aria-labelledby=\"plate-{0}-{1}-title\">"
        "<h2 id=\"plate-{0}-{1}-title\">{2}</h2>{3}</section>",
        number, section.id, escaped(section.title), *body);
  }
  return html + "</article>";
}

Result<std::string> series_strip(std::span<const PlateScore> plates) {
  std::string html = fmt::format("<section><h2>{}</h2><p class=\"advice\">{}</p><ol class=\"series\">",
                                 words::kSeries, escaped(next_plate_sentence(plates.back())));
  for (std::size_t i = 0; i < plates.size(); ++i) {
    const PlateScore& score = plates[i];
    std::string picture;
    if (const ColourPicture small = plate_picture(score, kThumbnailLongSidePx); !small.empty()) {
      const Result<std::string> address = picture_address(small);
      if (!address) return address;
      picture = fmt::format("<img src=\"{}\" alt=\"\">", *address);
    }
    const std::string state =
        score.recommendation ? std::string(words::diagnosis(score.recommendation->diagnosis)) : "no advice";
    html += fmt::format("<li><a href=\"#plate-{}\">{}<span>{}. {}</span><span>{}{}</span></a></li>", i + 1,
                        picture, i + 1, title_of(score), state,
                        score.grade ? fmt::format(", {:.0f} of 100", score.grade->overall) : "");
  }
  return html + "</ol></section>";
}

}  // namespace

Result<std::string> report_html(std::span<const PlateScore> plates) {
  std::string body;
  std::string data = "[";
  if (plates.size() > 1) {
    const Result<std::string> strip = series_strip(plates);
    if (!strip) return strip;
    body += *strip;
  }
  for (std::size_t i = 0; i < plates.size(); ++i) {
    const Result<std::string> one = article(plates[i], i + 1);
    if (!one) return one;
    body += *one;
    data += (i == 0 ? "" : ",") + json_for_script(score_json(plates[i]));
  }
  data += "]";
  const std::string title = plates.size() == 1 ? fmt::format("{}: {}", words::kPage, title_of(plates.front()))
                                               : std::string(words::kPage);
  return filled(page::kTemplate, {{"STYLE_HASH", sha256_base64(page::kStyle)},
                                  {"SCRIPT_HASH", sha256_base64(page::kScript)},
                                  {"TITLE", title},
                                  {"STYLE", page::kStyle},
                                  {"SCRIPT", page::kScript},
                                  {"ROOM_BUTTON", words::kRoomButton},
                                  {"ROOM_CAUTION", words::kRoomCaution},
                                  {"BODY", body},
                                  {"DATA", data}});
}

}  // namespace platewise
