#include "storage/repeated_message.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("when a message repeats the one journalled under its identifier") {
  struct Row {
    const char* name;
    std::uint16_t packet_id;
    bool duplicate, backlog, same_content, known, expected;
  };
  const auto row = GENERATE(values<Row>({
      {"marked by the broker", 7, true, false, true, true, true},
      {"unmarked, in the burst after a reconnection: perhaps a new one", 7, false, true, true, true, false},
      {"live", 7, false, false, true, true, false},
      {"marked, but it had not been kept", 7, true, true, false, true, false},
      {"marked, nothing was kept under this identifier", 7, true, true, true, false, false},
      {"QoS 0", 0, true, true, true, true, false},
  }));
  CAPTURE(row.name);
  Message message{"cellar/probe", "18.5", Time(seconds(0))};
  message.packet_id = row.packet_id;
  message.duplicate = row.duplicate;
  message.backlog = row.backlog;
  std::optional<std::uint64_t> journalled;
  if (row.known) journalled = row.same_content ? digest(message) : digest(message) + 1;
  RepeatedMessageRule rule;
  CHECK(rule.repeats(message, journalled) == row.expected);
}

TEST_CASE("a message kept on this connection is not a redelivery on it") {
  Message message{"cellar/probe", "18.5", Time(seconds(0))};
  message.packet_id = 1;
  message.duplicate = true;
  RepeatedMessageRule rule;
  rule.kept(message);
  CHECK_FALSE(rule.repeats(message, digest(message)));
  rule.connected();
  CHECK(rule.repeats(message, digest(message)));
}

// Vectors of draft-eastlake-fnv (appendix C, FNV-1a 64): "", "a" and "foobar" give cbf29ce484222325,
// af63dc4c8601ec8c and 85944171f73967e8. The digest puts a zero byte after the topic, so they are continued
// by hand: h = (h xor 0) * prime.
TEST_CASE("the digest is FNV-1a of topic, zero, payload") {
  constexpr std::uint64_t kPrime = 0x100000001b3;
  CHECK(digest({"", "", {}}) == 0xcbf29ce484222325U * kPrime);
  CHECK(digest({"a", "", {}}) == 0xaf63dc4c8601ec8cU * kPrime);
  CHECK(digest({"foobar", "", {}}) == 0x85944171f73967e8U * kPrime);
  CHECK(digest({"ab", "c", {}}) != digest({"a", "bc", {}}));
}
