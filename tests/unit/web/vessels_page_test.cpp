#include "web/vessels_page.h"

#include <catch2/catch.hpp>

#include "../control/fake_cellar.h"

using namespace gyle;
using Catch::Matchers::Contains;

TEST_CASE("the plain table has a row for each vessel, and names are text") {
  class Named : public test::FakeCellar {
   public:
    std::vector<std::string> vessels() const override { return {"left", "<b>right</b>", "attic"}; }
  };
  const std::string page = vessels_page(Named(), {});
  CHECK_THAT(page, Contains("<bdi>left</bdi>") && Contains("Amber no. 12, second run") && Contains("1.030"));
  CHECK_THAT(page, Contains("<bdi>&lt;b&gt;right&lt;/b&gt;</bdi></th><td>empty</td>"));
  CHECK_THAT(page, Contains("Attic stout") && Contains("its description is unreadable"));
  CHECK_THAT(page, !Contains("<script") && !Contains("<b>right"));
}

TEST_CASE("the plain table may load and run nothing") {
  const HttpResponse answer = vessels_answer(test::FakeCellar(), {});
  CHECK(answer.content_type == "text/html; charset=utf-8");
  REQUIRE(answer.headers.size() == 1);
  CHECK(answer.headers[0].first == "Content-Security-Policy");
  CHECK_THAT(answer.headers[0].second, Contains("default-src 'none'") && !Contains("script"));
}
