#include <catch2/catch.hpp>

#include "control/routes.h"
#include "fake_cellar.h"

using namespace gyle;

namespace {

HttpResponse get(const std::string& target) {
  test::FakeCellar cellar;
  return respond({.method = "GET", .target = target, .content_type = "", .body = ""}, cellar, {});
}

std::string header(const HttpResponse& response, const std::string& name) {
  for (const auto& [key, value] : response.headers) {
    if (key == name) return value;
  }
  return "";
}

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

}  // namespace

TEST_CASE("a report is a page that runs and loads nothing") {
  const HttpResponse answer = get("/v1/batches/left/report");
  CHECK(answer.status == 200);
  CHECK(answer.content_type == "text/html; charset=utf-8");
  CHECK(
      header(answer, "Content-Security-Policy").starts_with("default-src 'none'; style-src 'unsafe-inline'"));
  CHECK(holds(answer.body, "Amber no. 12, second run"));
  CHECK(holds(answer.body, "1.0448"));  // the sample
}

TEST_CASE("a report compares batches by their numbers, a bounded number of them") {
  const HttpResponse answer = get("/v1/batches/left/report?with=3");
  CHECK(answer.status == 200);
  CHECK(holds(answer.body, "2 batches compared"));
  CHECK(get("/v1/batches/left/report?with=3,99").status == 404);
  CHECK(get("/v1/batches/left/report?with=9").status == 409);  // cannot be read
  CHECK(get("/v1/batches/left/report?with=3,3,3,3,3").status == 200);
  CHECK(get("/v1/batches/left/report?with=3,3,3,3,3,3").status == 400);
}

TEST_CASE("readings come as CSV in pages that lead to each other, and to each reading once") {
  std::string target = "/v1/batches/left/readings.csv?limit=2";
  std::string rows;
  for (int pages = 0; !target.empty(); ++pages) {
    REQUIRE(pages < 3);
    const HttpResponse answer = get(target);
    REQUIRE(answer.status == 200);
    CHECK(answer.content_type == "text/csv; charset=utf-8; header=present");
    const auto header_end = answer.body.find('\n') + 1;
    CHECK(answer.body.starts_with("number,time_utc,"));
    rows += answer.body.substr(header_end);
    const std::string link = header(answer, "Link");  // RFC 8288: <target>; rel="next"
    target = link.empty() ? "" : link.substr(1, link.find('>') - 1);
    if (!link.empty()) CHECK(holds(link, ">; rel=\"next\""));
  }
  CHECK(std::count(rows.begin(), rows.end(), '\n') == 3);
  for (const char* number : {"1,2026", "\n2,2026", "\n3,2026", ",'=hydrometer,"}) CHECK(holds(rows, number));
}

TEST_CASE("points of the curve at the same time are on one page or the next, not on none") {
  const HttpResponse first = get("/v1/batches/left/curve.csv?limit=1");
  const std::string link = header(first, "Link");
  REQUIRE(!link.empty());
  const HttpResponse second = get(link.substr(1, link.find('>') - 1));
  CHECK(second.body == first.body);  // the made-up curve has the same point twice
  CHECK(header(second, "Link").empty());
}

TEST_CASE("alerts come as CSV; an unknown batch has none") {
  const HttpResponse answer = get("/v1/batches/left/alerts.csv");
  CHECK(answer.status == 200);
  CHECK(answer.body.starts_with("time_utc,kind,"));
  CHECK(header(answer, "Content-Disposition") == "attachment; filename=\"batch-7-alerts.csv\"");
  CHECK(get("/v1/batches/nowhere/alerts.csv").status == 404);
  CHECK(get("/v1/batches/left/alerts.csv?limit=0").status == 400);
}
