#include "markup.h"

#include <fmt/format.h>

#include "escape.h"
#include "platewise/write/write_picture.h"

namespace platewise {

std::string list_html(const std::vector<std::string>& items, std::string_view css_class) {
  std::string html = css_class.empty() ? "<ul>" : fmt::format("<ul class=\"{}\">", css_class);
  for (const std::string& item : items) html += "<li>" + escaped(item) + "</li>";
  return html + "</ul>";
}

std::string row_html(std::string_view name, std::string_view value) {
  return fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td></tr>", escaped(name), escaped(value));
}

Result<std::string> picture_address(const ColourPicture& picture) {
  constexpr int kQuality = 84;
  const Result<std::string> jpeg =
      encoded_picture(picture.rgb, {.container = PictureContainer::jpeg, .jpeg_quality = kQuality});
  if (!jpeg) return tl::make_unexpected(jpeg.error());
  return "data:image/jpeg;base64," +
         base64({reinterpret_cast<const unsigned char*>(jpeg->data()), jpeg->size()});
}

}  // namespace platewise
