#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "control/routes.h"
#include "fake_cellar.h"

using namespace gyle;
using namespace gyle::test;
using nlohmann::json;

namespace {

json get(FakeCellar& cellar, const std::string& target) {
  const HttpResponse response = respond({"GET", target, "", ""}, cellar, {});
  CAPTURE(target, response.body.substr(0, 200));
  REQUIRE(response.status == 200);
  CHECK(response.body.size() <= 1'000'000);
  return json::parse(response.body);
}

// The ids of everything in a list, page by page; `between` is done after each page.
template <class Between>
std::vector<int> read_all(FakeCellar& cellar, const std::string& target, const char* list, Between between) {
  std::vector<int> ids;
  std::string cursor;
  for (int page = 0; page < 1000; ++page) {
    const json answer = get(cellar, target + (cursor.empty() ? "" : "&cursor=" + cursor));
    for (const json& one : answer[list]) ids.push_back(one["id"]);
    if (!answer.contains("next")) return ids;
    cursor = answer["next"];
    between(page);
  }
  FAIL("the pages never end");
  return ids;
}

}  // namespace

TEST_CASE("pages hold everything once, whatever is added meanwhile") {
  FakeCellar cellar;
  const Time start = at("2026-03-02T00:00:00Z");
  for (int i = 0; i < 25; ++i) cellar.written.push_back({i + 1, start + hours(i / 2), "note"});
  const int limit = GENERATE(1, 7, 12, 25, 26);
  CAPTURE(limit);
  std::vector<int> ids =
      read_all(cellar, "/v1/batches/left/notes?limit=" + std::to_string(limit), "notes", [&](int page) {
        if (page > 2) return;
        // One about a time that has been read already, one about the end.
        cellar.written.insert(cellar.written.begin(), {100 + page, start - hours(1), "early"});
        cellar.written.push_back({200 + page, start + hours(100), "late"});
      });
  for (const int id : ids) CHECK((id < 100 || id >= 200));
  ids.erase(std::remove_if(ids.begin(), ids.end(), [](int id) { return id >= 200; }), ids.end());
  std::vector<int> expected;
  for (int i = 0; i < 25; ++i) expected.push_back(i + 1);
  CHECK(ids == expected);
}

TEST_CASE("batches and alerts come in pages") {
  FakeCellar cellar;
  const auto nothing = [](int) {};
  CHECK(read_all(cellar, "/v1/batches?limit=1", "batches", nothing) == std::vector<int>{3, 7, 9});
  for (int id = 13; id < 20; ++id) cellar.reported.push_back(FakeCellar::step_due(id));
  CHECK(read_all(cellar, "/v1/batches/left/alerts?limit=3", "alerts", nothing) ==
        std::vector<int>{12, 13, 14, 15, 16, 17, 18, 19});
}

TEST_CASE("an answer stays below 1 MB, however much there is") {
  FakeCellar cellar;
  std::string worst;
  for (int i = 0; i < 2000; ++i) worst += i % 2 == 0 ? "\xf0\x9f\x8d\xba" : "\"";
  for (int i = 0; i < 1000; ++i) {
    cellar.written.push_back({i + 1, at("2026-03-02T00:00:00Z") + minutes(i), worst});
    cellar.reported.push_back(FakeCellar::step_due(100 + i));
    cellar.reported.back().text = worst;
  }
  const auto nothing = [](int) {};
  CHECK(read_all(cellar, "/v1/batches/left/notes?limit=1000", "notes", nothing).size() == 1000);
  CHECK(read_all(cellar, "/v1/batches/left/alerts?limit=1000", "alerts", nothing).size() == 1001);
  get(cellar, "/v1/batches/left/series?points=2000");
  cellar.refused.assign(1000, {at("2026-03-03T12:00:00Z"), RefusalReason::not_json, std::string(512, '\x1b'),
                               std::string(512, '\x1b'), std::string(512, '\x1b'), std::string(256, '\xff')});
  CHECK(get(cellar, "/v1/refusals?limit=1000")["newest"].size() > 50);
}

TEST_CASE("sensors come in pages, those in vessels first, whatever bytes their ids are") {
  FakeCellar cellar;
  cellar.heard_of.clear();
  std::vector<std::string> expected;
  const std::vector<std::string> ids{"a", "b c", "b/c", "caf\xc3\xa9", "d\xff", "d\xff\x01", "e+%2F"};
  for (const char* vessel : {"left", ""}) {
    for (const std::string& id : ids) {
      const std::string own = (*vessel != 0 ? "v" : "") + id;
      cellar.heard_of.push_back({own, vessel, {}});
      expected.push_back(own);
    }
  }
  const std::size_t limit = GENERATE(1u, 3u, 7u, 13u, 14u, 100u);
  std::vector<std::string> seen;
  std::string cursor;
  std::size_t pages = 0;
  do {
    const json answer = get(cellar, "/v1/sensors?limit=" + std::to_string(limit) +
                                        (cursor.empty() ? "" : "&cursor=" + percent_encoded(cursor)));
    CHECK(answer["sensors"].size() <= limit);
    for (const json& one : answer["sensors"]) seen.push_back(one["sensor"]);
    cursor = answer.value("next", "");
    ++pages;
    REQUIRE(pages <= expected.size());
  } while (!cursor.empty());
  CHECK(pages == (expected.size() + limit - 1) / limit);
  REQUIRE(seen.size() == expected.size());
  for (std::size_t i = 0; i < seen.size(); ++i) {
    CHECK(json(expected[i]).dump(-1, ' ', true, json::error_handler_t::replace) ==
          json(seen[i]).dump(-1, ' ', true));
  }
}

TEST_CASE("the answer for a hundred thousand sensors stays below 1 MB") {
  FakeCellar cellar;
  for (int i = 0; i < 100'000; ++i) {
    const std::string id = "sensor-" + std::to_string(100'000 + i);
    cellar.heard_of.push_back({id, "", {{at("2026-03-03T12:00:00Z"), id, Quantity::gravity, 1.03}}});
  }
  const json answer = get(cellar, "/v1/sensors?limit=1000");
  CHECK(answer["sensors"].size() == 1000);
  CHECK(answer["lines"].size() >= 1000);
  CHECK(answer.contains("next"));
  CHECK(get(cellar, "/v1/sensors")["sensors"].size() == 100);
}

TEST_CASE("a cursor that no answer gave is refused with a sentence") {
  FakeCellar cellar;
  for (const char* cursor : {"x", "1", "1.", ".1", "1.x", "99999999999999999999.1", "1.2.3"}) {
    CAPTURE(cursor);
    const HttpResponse response =
        respond({"GET", std::string("/v1/batches?cursor=") + cursor, "", ""}, cellar, {});
    CHECK(response.status == 400);
    CHECK(response.body.find("next") != std::string::npos);
  }
  for (const char* cursor : {"", "x", "2.a", "0", "0.%25zz", "1.%254"}) {
    CAPTURE(cursor);
    CHECK(respond({"GET", std::string("/v1/sensors?cursor=") + cursor, "", ""}, cellar, {}).status == 400);
  }
  CHECK(respond({"GET", "/v1/sensors?limit=1001", "", ""}, cellar, {}).status == 400);
  CHECK(respond({"GET", "/v1/batches?limit=0", "", ""}, cellar, {}).status == 400);
  CHECK(respond({"GET", "/v1/batches?limit=201", "", ""}, cellar, {}).status == 400);
}
