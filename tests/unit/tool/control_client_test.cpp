#include "control_client.h"

#include <catch2/catch.hpp>

#include "control/json_answer.h"
#include "control/request_target.h"
#include "control_answers.h"
#include "served_socket.h"
#include "support/temp_dir.h"

using namespace gyle;
using Catch::Matchers::Contains;
using test::Daemon;

TEST_CASE("requests reach the daemon as intended") {
  const test::TempDir dir;
  const Daemon daemon(dir / "s", [](const HttpRequest& request) {
    return HttpResponse{.body = request.method + " " + request.target + " [" + request.content_type + "] " +
                                request.body};
  });
  const ControlClient client(dir / "s");
  CHECK(client.get("/v1/batches/a%2F..%2Fb/../c?x=%25").value() ==
        "GET /v1/batches/a%2F..%2Fb/../c?x=%25 [] ");
  const std::string body =
      GENERATE(std::string(), std::string("name = \"\xc3\xa4\"\n"), std::string(1 << 20, 'x'));
  CHECK(client.post("/v1/batches", "application/toml", body).value() ==
        "POST /v1/batches [application/toml] " + body);
}

TEST_CASE("an error of the daemon arrives in its words") {
  const test::TempDir dir;
  struct Row {
    int status;
    Errc code;
  };
  const auto row = GENERATE(values<Row>({{400, Errc::malformed},
                                         {403, Errc::refused},
                                         {404, Errc::not_found},
                                         {409, Errc::conflict},
                                         {422, Errc::out_of_range},
                                         {500, Errc::storage},
                                         {503, Errc::storage}}));
  const Daemon daemon(dir / "s",
                      [&](const HttpRequest&) { return problem(row.status, "left holds a batch"); });
  const auto answer = ControlClient(dir / "s").get("/");
  REQUIRE_FALSE(answer);
  CHECK(answer.error().code == row.code);
  CHECK(answer.error().message == "left holds a batch");
}

TEST_CASE("a daemon that is not there is unavailable, with the path and the reason") {
  const test::TempDir dir;
  const auto absent = ControlClient(dir / "s").get("/v1/status");
  REQUIRE_FALSE(absent);
  CHECK(absent.error().code == Errc::unavailable);
  CHECK_THAT(absent.error().message, Contains((dir / "s").string()) && Contains("No such file"));
}

TEST_CASE("a list is asked for page by page, until the last") {
  const test::TempDir dir;
  const Daemon daemon(dir / "s", [](const HttpRequest& request) {
    if (request.target == "/short") return HttpResponse{.body = "{}"};
    if (request.target.starts_with("/endless")) return HttpResponse{.body = R"({"next": "a b"})"};
    return HttpResponse{.body = request.target == "/list?limit=2"                ? R"({"next": "a b"})"
                                : request.target == "/list?limit=2&cursor=a%20b" ? R"({"next": "c"})"
                                : request.target == "/list?limit=2&cursor=c"     ? R"({"last": 1})"
                                                                                 : "?"};
  });
  const ControlClient client(dir / "s");
  std::vector<std::string> pages;
  const auto take = [&](const std::string& body) -> Status {
    pages.push_back(body);
    return success();
  };
  REQUIRE(client.get_pages("/list?limit=2", take));
  REQUIRE(client.get_pages("/short", take));
  CHECK(pages == std::vector<std::string>{R"({"next": "a b"})", R"({"next": "c"})", R"({"last": 1})", "{}"});
  CHECK(client.get_pages("/endless", take).error().code == Errc::malformed);
  const auto stop =
      client.get_pages("/list?limit=2", [](const std::string&) -> Status { return fail(Errc::storage, ""); });
  CHECK(stop.error().code == Errc::storage);
}

TEST_CASE("an answer of another version is not guessed at") {
  for (const char* body : {"", "{}", "[]", "no JSON", R"({"batches": [{}]})", R"({"batches": 5})",
                           R"({"batches": [{"id": "x", "name": "n", "vessel": "v", "lines": []}]})"}) {
    CAPTURE(body);
    CHECK_FALSE(read_batches(body));
    CHECK_FALSE(read_batch(body));
    CHECK_FALSE(read_daemon(body));
    CHECK_FALSE(read_alerts(body));
    CHECK_FALSE(read_lines(body));
  }
  CHECK_FALSE(read_daemon(R"({"daemon": {"broker": "b", "broker_connected": true, "now": "soon"}})"));
  CHECK(problem_detail("no JSON") == "no JSON");
}

TEST_CASE("an alert is a line for people and an object for machines") {
  const auto alerts = read_alerts(
      R"({"batch": "Amber", "alerts": [{"kind": "stuck", "state": "raised", "text": "T", "id": 7, "over": false,
          "line": "Mon 2 Mar 07:00  T"}, {"state": "raised", "id": 8, "over": true, "line": ""},
          {"state": "withdrawn", "id": 9, "over": false, "line": ""},
          {"state": "raised", "id": 10, "over": false, "acknowledged": "2026-03-02T06:00:00Z", "line": ""}]})");
  REQUIRE(alerts);
  CHECK(alerts.value().at(0).line == "Mon 2 Mar 07:00  T");
  CHECK(alerts.value().at(0).json ==
        R"({"kind":"stuck","state":"raised","text":"T","id":7,"over":false,"batch":"Amber"})");
  CHECK(alerts.value().at(0).number == 7);
  for (const std::size_t i : {0U, 3U}) CHECK(alerts.value().at(i).open);
  for (const std::size_t i : {1U, 2U}) CHECK_FALSE(alerts.value().at(i).open);
}

TEST_CASE("a query holds what is given, and all of it arrives") {
  CHECK(query_text({{"hold", std::nullopt}}).empty());
  const std::string query = query_text({{"hold", "20 Cel"}, {"from", std::nullopt}, {"time", "a&b=c+d"}});
  CHECK(query == "?hold=20%20Cel&time=a%26b%3Dc%2Bd");
  const auto target = parse_request_target("/v1/batches" + query);
  CHECK(target.value().query.at("hold") == "20 Cel");
  CHECK(target.value().query.at("time") == "a&b=c+d");
}
