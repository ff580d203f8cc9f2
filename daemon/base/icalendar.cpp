#include "base/icalendar.h"

#include <algorithm>

#include "base/rfc3339.h"
#include "base/text.h"

namespace gyle {

void add_calendar_line(std::string& out, std::string_view line) {
  constexpr std::size_t kLineOctets = 75;  // without the break
  std::size_t room = kLineOctets;
  while (line.size() > room) {
    std::size_t cut = room;
    while ((static_cast<unsigned char>(line[cut]) & 0xC0) == 0x80) --cut;
    out.append(line.substr(0, cut)).append("\r\n ");
    line.remove_prefix(cut);
    room = kLineOctets - 1;  // the space counts
  }
  out.append(line).append("\r\n");
}

std::string calendar_escaped(std::string_view text) {
  std::string out;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    if (begin > 0) out += "\\n";
    for (const char c : displayable(text.substr(begin, end - begin), text.size())) {
      if (c == '\\' || c == ';' || c == ',') out += '\\';
      out += c;
    }
    begin = end + 1;
  }
  return out;
}

std::string calendar_time(Time time) {
  std::string text = format_rfc3339(std::chrono::floor<seconds>(time));
  std::erase_if(text, [](char c) { return c == '-' || c == ':'; });
  return text;
}

}  // namespace gyle
