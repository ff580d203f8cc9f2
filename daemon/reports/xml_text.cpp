#include "reports/xml_text.h"

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

}  // namespace gyle
