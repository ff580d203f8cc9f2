#pragma once

#include <bitset>
#include <cstdint>
#include <optional>

#include "ingest/message.h"

namespace gyle {

// More than are ever unacknowledged at once, and far fewer than there are identifiers.
constexpr std::int64_t kDeliveriesRemembered = 16'384;

// Tells a message that the broker delivers again from a new one with the same content.
//
// Readings with a time stamp are recognised by their content. The others (and refusals, which are counted)
// are recognised by how they came: within a session a broker sends an unacknowledged message again on a later
// connection, under the same packet identifier and marked as a duplicate (MQTT 5.0 sections 3.3.1.1 and 4.4).
// So a message repeats the one journalled last under its packet identifier when it is marked, topic and
// payload are equal, that one came on an earlier connection, and it is one of the newest
// kDeliveriesRemembered: identifiers are used again, after 65,535 messages or sooner, and an older one was
// acknowledged long ago.
//
// In doubt a reading is stored twice rather than lost. Stored twice, without a time stamp: what a broker
// delivers again unmarked, because it was killed and came back with a queue saved earlier; a message that its
// publisher sent twice (to the broker those are two messages); the same message matched by two overlapping
// subscriptions. Still lost: when a broker uses an identifier again within those deliveries, a message that
// was under way when the connection ended, and equals the last one under its identifier in topic and payload.
class RepeatedMessageRule {
 public:
  // A connection has been made.
  void connected() { seen_.reset(); }

  // `journalled`: digest of the message journalled last in this session under the identifier of `message`, if
  // it is one of those remembered.
  bool repeats(const Message& message, std::optional<std::uint64_t> journalled) const;

  // `message` is in the journal, by now or already.
  void kept(const Message& message) { seen_.set(message.packet_id); }

 private:
  std::bitset<65536> seen_;  // identifiers of this connection
};

// 64-bit FNV-1a of topic and payload; the same in every build, as it is stored.
std::uint64_t digest(const Message& message);

}  // namespace gyle
