#include "web/vessels_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "reports/xml_text.h"
#include "wording/format.h"
#include "wording/status_lines.h"

namespace gyle {
namespace {

constexpr const char* kStyle =
    ":root{color-scheme:light dark}body{font:1.05rem/1.5 system-ui,sans-serif;margin:0 auto;max-width:60rem;"
    "padding:1rem}.wide{overflow-x:auto}table{border-collapse:collapse;width:100%}th,td{text-align:left;"
    "vertical-align:top;padding:.4rem .8rem .4rem 0;border-bottom:1px solid GrayText}"
    // A phone has no room for four columns.
    "@media(max-width:40rem){thead{position:absolute;clip-path:inset(50%)}tr,th,td{display:block;border:0;"
    "padding:0}"
    "tr{border-bottom:1px solid GrayText;padding:.6rem 0}}bdi{overflow-wrap:anywhere}";

}  // namespace

std::string vessels_page(const Cellar& cellar, const DisplaySettings& display) {
  const auto batches = cellar.batches();
  const Time now = cellar.daemon().now;
  std::string rows;
  for (const std::string& vessel : cellar.vessels()) {
    const auto batch = std::find_if(batches.begin(), batches.end(), [&vessel](const BatchRecord& one) {
      return !one.packaged && one.vessel == vessel;
    });
    fmt::format_to(std::back_inserter(rows), "<tr><th scope=\"row\"><bdi>{}</bdi></th>", xml_text(vessel));
    if (batch == batches.end()) {
      rows += "<td>empty</td><td></td><td></td></tr>\n";
      continue;
    }
    fmt::format_to(std::back_inserter(rows), "<td><bdi>{}</bdi></td>", xml_text(batch->spec.name));
    if (!batch->unreadable.empty()) {
      rows += "<td>not watched: its description is unreadable</td><td></td></tr>\n";
      continue;
    }
    const auto lines = status_lines(batch->vessel, batch->spec, batch->view, display, now);
    fmt::format_to(std::back_inserter(rows), "<td>{}</td><td>{}</td></tr>\n", xml_text(lines[1]),
                   xml_text(lines[2]));
  }
  return fmt::format(
      "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\">\n<title>Vessels · Gylekeeper</title>\n"
      "<style>{}</style>\n</head>\n<body>\n<main>\n<h1>The vessels</h1>\n<p>As of {}. Load it again for what "
      "is known by then.</p>\n<div class=\"wide\"><table>\n<thead><tr><th scope=\"col\">Vessel</th><th "
      "scope=\"col\">Batch</th><th scope=\"col\">Now</th><th "
      "scope=\"col\">Next</th></tr></thead>\n<tbody>\n{}"
      "</tbody></table></div>\n</main>\n</body>\n</html>\n",
      kStyle, xml_text(show_time(now, display)), rows);
}

HttpResponse vessels_answer(const Cellar& cellar, const DisplaySettings& display) {
  HttpResponse answer{.content_type = "text/html; charset=utf-8", .body = vessels_page(cellar, display)};
  answer.headers = {{"Content-Security-Policy",
                     "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; "
                     "frame-ancestors 'none'"}};
  return answer;
}

}  // namespace gyle
