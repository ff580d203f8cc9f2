#include "app/change_notice.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "support/manual_clock.h"

using namespace gyle;

namespace {

// Time that passes only when the test says so.
struct Watched {
  void pass(Duration length) {
    const Duration until = passed + length;
    for (;;) {
      const auto next = std::min_element(waiting.begin(), waiting.end(),
                                         [](const auto& a, const auto& b) { return a.first < b.first; });
      if (next == waiting.end() || next->first > until) break;
      passed = next->first;
      const auto work = std::move(next->second);
      waiting.erase(next);
      work();
    }
    passed = until;
  }

  Duration passed{0};
  std::vector<std::pair<Duration, std::function<void()>>> waiting;
  std::vector<std::string> heard;
  EventHub hub;
  test::ManualClock clock{Time(days(20000))};
  ChangeNotice notice{hub,
                      clock,
                      {[this](Duration pause, std::function<void()> work) {
                         waiting.emplace_back(passed + pause, std::move(work));
                       },
                       [](const std::set<std::string>& vessels) {
                         return vessels.empty() ? std::vector<std::int64_t>{1, 2}
                                                : std::vector<std::int64_t>{vessels.contains("left") ? 1 : 2};
                       }}};
};

}  // namespace

TEST_CASE("many changes are one event, at most one a second, and the last is never lost") {
  Watched w;
  w.hub.subscribe([&](const EventHub::Event& event) { w.heard.push_back(*event); });
  for (int i = 0; i < 10; ++i) w.notice.changed_in("left");
  w.pass(Duration(0));
  REQUIRE(w.heard.size() == 1);
  CHECK(w.heard[0].rfind("event: changed\ndata: {\"time\":", 0) == 0);
  CHECK(w.heard[0].substr(w.heard[0].size() - 17) == ",\"batches\":[1]}\n\n");
  for (int i = 0; i < 95; ++i) {
    w.pass(Duration(100));
    w.notice.changed_in(i % 2 == 0 ? "left" : "right");
  }
  w.pass(seconds(5));
  CHECK(w.heard.size() >= 10);
  CHECK(w.heard.size() <= 11);
  w.notice.changed();
  w.pass(Duration(0));
  CHECK(w.heard.back().substr(w.heard.back().size() - 19) == ",\"batches\":[1,2]}\n\n");
  const std::size_t so_far = w.heard.size();
  w.pass(hours(1));
  CHECK(w.heard.size() == so_far);
  CHECK(w.waiting.empty());
}
