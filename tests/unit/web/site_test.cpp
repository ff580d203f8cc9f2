#include "web/site.h"

#include <catch2/catch.hpp>

#include "control/response_encoding.h"
#include "support/manual_clock.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

const std::string kPage = "<!doctype html><title>a page</title>";
const std::string kPacked = gzip(kPage);
const Asset kAssets[] = {{"/", "text/html; charset=utf-8", kPacked, "\"tag\""},
                         {"/page/app.js", "text/javascript; charset=utf-8", kPacked, "\"other\""}};

HttpRequest get(std::string target) {
  HttpRequest request{.method = "GET", .target = std::move(target), .content_type = "", .body = ""};
  request.headers = {{"host", "127.0.0.1:8480"}};
  request.peer = "127.0.0.1";
  return request;
}

struct Served {
  HttpResponse answer(HttpRequest request) { return site.answer(std::move(request)); }

  test::ManualClock clock{Time(days(20000))};
  HttpRequest heard{.method = "", .target = "", .content_type = "", .body = ""};
  Site site{Access({"a secret of the brewer's own", "127.0.0.1", {}}, [] { return std::string("s"); }),
            {.control =
                 [this](const HttpRequest& request) {
                   heard = request;
                   return HttpResponse{.body = "{}"};
                 },
             .calendar = [] { return HttpResponse{.content_type = "text/calendar", .body = "BEGIN"}; },
             .assets = kAssets},
            clock};
};

}  // namespace

TEST_CASE("each address leads to its handler") {
  Served served;
  CHECK(served.answer(get("/v1/status?x=1")).body == "{}");
  CHECK(served.heard.target == "/v1/status?x=1");
  CHECK_FALSE(served.heard.signed_in);
  CHECK_FALSE(served.heard.read_only);
  CHECK(served.answer(get("/calendar.ics")).body == "BEGIN");
  CHECK(served.answer(get("/session")).body == "{\"signed_in\":false}\n");
  CHECK(served.answer(get("/?from=home")).content_type == "text/html; charset=utf-8");
  for (const char* nowhere :
       {"/metrics", "/page/", "/page/../v1/status", "/v1", "//v1/status", "/index.html", "", "*"}) {
    CAPTURE(nowhere);
    CHECK(served.answer(get(nowhere)).status == 404);
  }
}

TEST_CASE("a file is sent compressed as stored, and plain to clients that do not accept that") {
  Served served;
  HttpRequest request = get("/page/app.js");
  const HttpResponse plain = served.answer(request);
  CHECK(plain.body == kPage);
  const std::pair<std::string, std::string> for_ever{"Cache-Control", "public, max-age=31536000, immutable"};
  CHECK(plain.headers == std::vector<std::pair<std::string, std::string>>{for_ever, {"ETag", "\"other\""}});
  request.headers["accept-encoding"] = "gzip, br";
  const HttpResponse packed = served.answer(request);
  CHECK(packed.body == kPacked);
  CHECK(packed.headers == std::vector<std::pair<std::string, std::string>>{
                              for_ever, {"Content-Encoding", "gzip"}, {"ETag", "\"other-gzip\""}});
  // The page itself names the others, and may change.
  CHECK(served.answer(get("/")).headers ==
        std::vector<std::pair<std::string, std::string>>{{"ETag", "\"tag\""}});
}

TEST_CASE("at an address with nothing a person gets a page that says so, a program a problem") {
  Served served;
  HttpRequest person = get("/cellar/left");
  person.headers["accept"] = "text/html,application/xhtml+xml";
  const HttpResponse page = served.answer(person);
  CHECK(page.status == 404);
  CHECK(page.content_type == "text/html; charset=utf-8");
  CHECK(page.body == kPage);
  CHECK(served.answer(get("/cellar/left")).content_type == "application/problem+json");
  // Without a room for it, the table of the vessels is no address either.
  CHECK(served.answer(get("/vessels")).status == 404);
}

TEST_CASE("the files of the page have names that change with them, and the page names all of them") {
  std::string folder, page, worker;
  for (const Asset& asset : page_assets()) {
    const std::string path(asset.path);
    if (path == "/") page = gunzip(asset.gzip).value();
    if (path == "/service-worker.js") worker = gunzip(asset.gzip).value();
    if (!path.starts_with("/page/")) continue;
    const std::string mine = path.substr(0, path.rfind('/'));
    CHECK(mine.size() == std::string("/page/").size() + 16);
    if (folder.empty()) folder = mine;
    CHECK(mine == folder);
  }
  for (const Asset& asset : page_assets()) {
    const std::string path(asset.path);
    if (!path.starts_with("/page/")) continue;
    CHECK_THAT(worker, Contains("\"" + path + "\""));
    if (path.ends_with(".js") && !path.ends_with("/uplot.js")) {
      CHECK_THAT(page, Contains("<link rel=\"modulepreload\" href=\"" + path + "\">"));
    }
  }
  for (const std::string& text : {page, worker})
    CHECK_THAT(text, !Contains("@PAGE@") && !Contains("@FILES@"));
  CHECK_THAT(page, Contains(folder + "/manifest.webmanifest"));
}

TEST_CASE("a refused request gets none of the content, and files cannot be changed") {
  Served served;
  HttpRequest foreign = get("/v1/status");
  foreign.headers["host"] = "evil.example";
  CHECK(served.answer(foreign).status == 421);
  CHECK(served.heard.target.empty());
  HttpRequest act = get("/page/app.js");
  act.method = "POST";
  CHECK(served.answer(act).status == 401);
  act.headers["authorization"] = "Bearer a secret of the brewer's own";
  CHECK(served.answer(act).status == 405);
  act.target = "/v1/alerts/1/acknowledge";
  CHECK(served.answer(act).status == 200);
  CHECK(served.heard.signed_in);
}
