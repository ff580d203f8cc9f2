#include "storage/repeated_message.h"

#include <string_view>

namespace gyle {

bool RepeatedMessageRule::repeats(const Message& message, std::optional<std::uint64_t> journalled) const {
  if (message.packet_id == 0 || !message.duplicate || seen_.test(message.packet_id)) return false;
  return journalled == digest(message);
}

std::uint64_t digest(const Message& message) {
  std::uint64_t hash = 0xcbf29ce484222325;
  const auto add = [&hash](std::string_view bytes) {
    for (const char c : bytes) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3;
  };
  add(message.topic);
  add(std::string_view("\0", 1));  // in no topic: MQTT 5.0 section 4.7.3
  add(message.payload);
  return hash;
}

}  // namespace gyle
