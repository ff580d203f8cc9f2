#include "mqtt/publish_queue.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

const Error kLost{Errc::unavailable, "the connection is lost"};
const Error kForbidden{Errc::refused, "not permitted"};

// A queue, and a broker of whose acknowledgements the test decides.
struct Sender {
  PublishQueue queue;
  PublishQueue::Ticket tickets = 0;
  std::vector<std::string> answered;

  bool add(const std::string& payload) {
    PublishQueue::OnDone on_done = [this, payload](const Status& status) {
      answered.push_back(payload + (status ? " acknowledged" : " " + std::string(name(status.error().code))));
    };
    return queue.add("cellar/alert", payload, true, on_done);
  }
  std::vector<PublishQueue::Outgoing> send_all() {
    std::vector<PublishQueue::Outgoing> sent;
    while (queue.may_send()) sent.push_back(queue.send(++tickets));
    return sent;
  }
  void answer() {
    for (const auto& [on_done, status] : queue.take_answers()) on_done(status);
  }
};

std::vector<std::string> payloads(const std::vector<PublishQueue::Outgoing>& sent) {
  std::vector<std::string> all;
  for (const auto& message : sent) all.push_back(message.payload);
  return all;
}

}  // namespace

TEST_CASE("publications are sent in order, a bounded number at once, and answered once") {
  Sender sender;
  for (int i = 0; i < 30; ++i) REQUIRE(sender.add(std::to_string(i)));
  const auto first = sender.send_all();
  REQUIRE(first.size() == PublishQueue::kInFlight);
  CHECK(first.front().payload == "0");
  CHECK(first.front().topic == "cellar/alert");
  CHECK(first.front().retained);
  CHECK(first.front().qos == 1);
  CHECK(first.back().payload == std::to_string(PublishQueue::kInFlight - 1));

  sender.queue.settle(first[3].ticket, success());
  sender.queue.settle(first[3].ticket, success());  // a second word about it is none
  sender.answer();
  CHECK(sender.answered == std::vector<std::string>{"3 acknowledged"});
  CHECK(payloads(sender.send_all()) == std::vector<std::string>{"18"});
}

TEST_CASE("what failed for now is sent again in its place, what is refused is not") {
  Sender sender;
  for (const char* payload : {"a", "b", "c", "d"}) sender.add(payload);
  const auto sent = sender.send_all();
  sender.add("e");
  sender.queue.settle(sent[3].ticket, kLost);
  sender.queue.settle(sent[1].ticket, kLost);
  sender.queue.settle(sent[2].ticket, kForbidden);
  CHECK(payloads(sender.send_all()) == std::vector<std::string>{"b", "d", "e"});
  sender.answer();
  CHECK(sender.answered == std::vector<std::string>{"c refused"});
}

TEST_CASE(
    "a broker without memory is sent everything in flight again, and a late word about the first sending is "
    "ignored") {
  Sender sender;
  for (const char* payload : {"a", "b"}) sender.add(payload);
  const auto before = sender.send_all();
  CHECK_FALSE(sender.queue.none_in_flight());
  sender.queue.send_all_again();
  CHECK(sender.queue.none_in_flight());
  const auto after = sender.send_all();
  CHECK(payloads(after) == std::vector<std::string>{"a", "b"});
  sender.queue.settle(before[0].ticket, success());  // of the connection that is gone
  sender.queue.settle(before[1].ticket, kForbidden);
  sender.answer();
  CHECK(sender.answered.empty());
  sender.queue.settle(after[0].ticket, success());
  sender.queue.settle(after[1].ticket, success());
  sender.answer();
  CHECK(sender.answered == std::vector<std::string>{"a acknowledged", "b acknowledged"});
}

TEST_CASE("a thousand wait, no more, and at the end everything is answered in order") {
  Sender sender;
  for (std::size_t i = 0; i < PublishQueue::kWaiting; ++i) REQUIRE(sender.add("x"));
  CHECK_FALSE(sender.add("one too many"));
  sender.send_all();
  CHECK(sender.add("y"));  // those in flight do not wait
  sender.queue.close(kLost);
  sender.answer();
  REQUIRE(sender.answered.size() == PublishQueue::kWaiting + 1);
  CHECK(sender.answered.front() == "x unavailable");
  CHECK(sender.answered.back() == "y unavailable");
  CHECK(sender.send_all().empty());
  sender.answer();
  CHECK(sender.answered.size() == PublishQueue::kWaiting + 1);
}
