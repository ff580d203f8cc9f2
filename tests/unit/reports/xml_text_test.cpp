#include "reports/xml_text.h"

#include <catch2/catch.hpp>

using namespace gyle;

// XML 1.0 (Fifth Edition), sections 2.2 (what characters there are) and 2.4 (what must be escaped).
TEST_CASE("text becomes character data") {
  CHECK(xml_text("Amber no. 12") == "Amber no. 12");
  CHECK(xml_text("<b> & \"quotes\" 'and' ]]>") == "&lt;b&gt; &amp; &quot;quotes&quot; &#39;and&#39; ]]&gt;");
  CHECK(xml_text("&amp;") == "&amp;amp;");
  CHECK(xml_text("Öde \u9ea6 \U0001F37A") == "Öde \u9ea6 \U0001F37A");
  CHECK(xml_text(std::string_view("a\0b\x1b", 4)) == "a?b?");
  CHECK(xml_text("\xff\xc0\xaf") == "???");
  CHECK(xml_text("a\xEF\xBF\xBE"
                 "b\xEF\xBF\xBF") == "a?b?");
  CHECK(xml_text("\xED\xA0\x80") == "???");
  CHECK(xml_text("").empty());
}
