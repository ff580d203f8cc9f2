#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "base/time.h"

namespace gyle {

constexpr std::size_t kLargestPayload = 64 * 1024;
constexpr std::size_t kPayloadHeadBytes = 64;

// One MQTT message as the shell received it.
struct Message {
  std::string topic;
  std::string payload;
  Time received;          // by the daemon's clock
  bool retained = false;  // stored by the broker before we subscribed: not fresh
  bool backlog = false;   // came in a burst after an outage: `received` says nothing about when it was sent
  bool stamp_is_clock = false;  // a rehearsal: the messages give the time
  // How the broker delivered it; used to recognise what it delivers twice.
  bool duplicate = false;       // the broker marked it as possibly delivered before
  std::uint16_t packet_id = 0;  // 0: QoS 0, never delivered twice
  // Of a payload above kLargestPayload only the first kPayloadHeadBytes are here; this many more came.
  std::size_t left_out = 0;
};

}  // namespace gyle
