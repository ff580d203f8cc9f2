#include "reports/xml_text.h"

#include <fmt/format.h>

#include "base/text.h"

namespace gyle {

std::string xml_text(std::string_view text) {
  const std::string clean = displayable(text, text.size());
  std::string out;
  for (std::size_t i = 0; i < clean.size(); ++i) {
    const std::string_view three = std::string_view(clean).substr(i, 3);
    if (three == "\xEF\xBF\xBE" || three == "\xEF\xBF\xBF") {
      out += '?';
      i += 2;
      continue;
    }
    switch (clean[i]) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += clean[i];
    }
  }
  return out;
}

std::string svg_head(std::string_view title, std::string_view description) {
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"600\" height=\"400\" "
      "viewBox=\"0 0 600 400\" font-family=\"sans-serif\" font-size=\"14\" fill=\"#1c1c1c\">\n"
      "<title>{}</title>\n<desc>{}</desc>\n"
      "<rect width=\"600\" height=\"400\" fill=\"#ffffff\"/>\n",
      xml_text(title), xml_text(description));
}

}  // namespace gyle
