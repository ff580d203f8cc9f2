#pragma once

#include <set>
#include <span>
#include <string>

#include "ingest/message.h"
#include "ingest/source.h"
#include "wording/display.h"

namespace gyle {

// Shows messages to a brewer who sets up sensors: when, on which topic, what was understood with its units,
// or why not. For a topic that no source matches, the first message that holds a reading also proposes the
// block of the configuration that would read it.
class MessageLines {
 public:
  MessageLines(std::span<const Source> sources, DisplaySettings display)
      : sources_(sources), display_(std::move(display)) {}

  // Whole lines. Nothing that the message holds reaches the terminal as a control character.
  std::string of(const Message& message);

 private:
  std::span<const Source> sources_;
  DisplaySettings display_;
  std::set<std::string> proposed_;  // topics, a bounded number
};

// A message and what is understood of it as one JSON object on a line: topic, received, retained, readings
// (sensor, time, quantity, value in canonical units), refusals (reason, detail).
std::string message_json(const Message& message, std::span<const Source> sources);

}  // namespace gyle
