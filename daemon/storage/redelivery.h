#pragma once

#include <bitset>
#include <cstdint>
#include <optional>

#include "ingest/message.h"

namespace gyle {

// Tells a message that the broker delivers again from a new one that says the same.
//
// Readings with a time stamp are known again by their content. The others (and refusals, which are counted)
// are known by how they came: within a session a broker sends an unacknowledged message again under the same
// packet identifier, on a later connection, first thing or marked as a duplicate (MQTT 5.0 section 4.4). So a
// message repeats the one journalled last under its packet identifier when topic and payload are equal, that
// one came on an earlier connection, and this one is marked or part of the burst that follows a reconnection.
//
// What it cannot know: a message that its publisher sent twice (to the broker those are two messages); the
// same message matched by two overlapping subscriptions; and, with a broker that uses small identifiers again
// at once, a new message in that burst that equals the old one in all of topic, payload and identifier: it is
// taken for the old one, and an equal reading is lost.
class RedeliveryRule {
 public:
  // A connection has been made.
  void connected() { seen_.reset(); }

  // `journalled`: digest of the message journalled last in this session under the identifier of `message`.
  bool repeats(const Message& message, std::optional<std::uint64_t> journalled) const;

  // `message` is in the journal, by now or already.
  void kept(const Message& message) { seen_.set(message.packet_id); }

 private:
  std::bitset<65536> seen_;  // identifiers of this connection
};

// 64-bit FNV-1a of topic and payload; the same in every build, as it is stored.
std::uint64_t digest(const Message& message);

}  // namespace gyle
