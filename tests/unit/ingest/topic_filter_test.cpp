#include "ingest/topic_filter.h"

#include <catch2/catch.hpp>
#include <random>
#include <vector>

using namespace gyle;

// The examples of MQTT 5.0 sections 4.7.1.2, 4.7.1.3 and 4.7.2.
TEST_CASE("filters match as the standard's examples say") {
  struct Row {
    const char* filter;
    const char* topic;
    bool matches;
  };
  const auto row = GENERATE(values<Row>({
      {"sport/tennis/player1/#", "sport/tennis/player1", true},
      {"sport/tennis/player1/#", "sport/tennis/player1/ranking", true},
      {"sport/tennis/player1/#", "sport/tennis/player1/score/wimbledon", true},
      {"sport/tennis/player1/#", "sport/tennis/player12", false},
      {"sport/#", "sport", true},
      {"#", "sport/tennis", true},
      {"#", "/", true},
      {"sport/tennis/+", "sport/tennis/player1", true},
      {"sport/tennis/+", "sport/tennis/player1/ranking", false},
      {"sport/+", "sport", false},
      {"sport/+", "sport/", true},
      {"+/tennis/#", "sport/tennis", true},
      {"+/+", "/finance", true},
      {"/+", "/finance", true},
      {"+", "/finance", false},
      {"#", "$SYS/monitor/Clients", false},
      {"+/monitor/Clients", "$SYS/monitor/Clients", false},
      {"$SYS/#", "$SYS/monitor/Clients", true},
      {"$SYS/monitor/+", "$SYS/monitor/Clients", true},
      {"ACCOUNTS", "Accounts", false},
      {"a/b", "a/b", true},
      {"a/b", "a/b/c", false},
      {"a/b/c", "a/b", false},
      {"a//b", "a//b", true},
      {"a/+/b", "a//b", true},
  }));
  CAPTURE(row.filter, row.topic);
  CHECK(topic_matches(row.filter, row.topic) == row.matches);
}

// The same sections say which filters are valid.
TEST_CASE("a broker would accept exactly the filters that pass") {
  for (const char* filter :
       {"#", "+", "/", "sport/tennis/#", "+/tennis/#", "sport/+/player1", "a//b", "$SYS/#"}) {
    CAPTURE(filter);
    CHECK(check_topic_filter(filter).has_value());
  }
  for (const char* filter :
       {"", "sport/tennis#", "sport/tennis/#/ranking", "sport+", "+a/b", "#/a", "##", "$share/g/a"}) {
    CAPTURE(filter);
    CHECK_FALSE(check_topic_filter(filter).has_value());
  }
  CHECK_FALSE(check_topic_filter(std::string_view("a\0b", 3)).has_value());
  CHECK_FALSE(check_topic_filter(std::string(65536, 'a')).has_value());
}

namespace {

using Levels = std::vector<std::string>;

Levels split(const std::string& text) {
  Levels levels(1);
  for (const char c : text) {
    if (c == '/') {
      levels.emplace_back();
    } else {
      levels.back() += c;
    }
  }
  return levels;
}

// The rules of the standard a second time, by levels and recursion.
bool plain_match(const Levels& filter, const Levels& topic, std::size_t f = 0, std::size_t t = 0) {
  if (f == filter.size()) return t == topic.size();
  if (filter[f] == "#") return f > 0 || topic[0].empty() || topic[0][0] != '$';
  if (t == topic.size()) return false;
  const bool wild = filter[f] == "+" && !(t == 0 && !topic[0].empty() && topic[0][0] == '$');
  return (wild || filter[f] == topic[t]) && plain_match(filter, topic, f + 1, t + 1);
}

}  // namespace

TEST_CASE("matching agrees with a plain second method") {
  const auto seed = GENERATE(range(1u, 101u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  const auto draw = [&](std::initializer_list<const char*> words) {
    std::string text;
    for (unsigned levels = 1 + random() % 4; levels > 0; --levels) {
      text += *(words.begin() + random() % words.size());
      if (levels > 1) text += '/';
    }
    return text;
  };
  for (int i = 0; i < 200; ++i) {
    const std::string filter = draw({"a", "b", "", "+", "#", "$x"});
    const std::string topic = draw({"a", "b", "", "$x"});
    if (filter.empty() || topic.empty() || !check_topic_filter(filter)) continue;
    CAPTURE(filter, topic);
    CHECK(topic_matches(filter, topic) == plain_match(split(filter), split(topic)));
  }
}

TEST_CASE("levels are counted from 0") {
  CHECK(topic_levels("cellar/hydrometer-1/state") == 3);
  CHECK(topic_level("cellar/hydrometer-1/state", 1) == "hydrometer-1");
  CHECK(topic_level("/a", 0) == "");
  CHECK_FALSE(topic_level("cellar", 1).has_value());
}
