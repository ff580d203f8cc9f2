#pragma once

#include <functional>
#include <optional>
#include <string>

#include "base/time.h"
#include "fermentation/decision.h"

namespace gyle {

// Something on its way to the brewer by one channel: one alert, or several in one message.
struct Notice {
  std::string id;    // the same at every attempt, for the far end to recognise a repetition
  Time time;         // of the newest alert in it
  std::string kind;  // "stuck", ...; "summary" for several in one
  Severity severity;
  std::string state;   // "raised", "withdrawn", or "reminder" for what still stands
  std::string vessel;  // empty: about the watcher itself, or about several
  std::string batch;   // likewise
  std::string sensor;  // empty unless it is about one
  std::string title;   // a few words for a subject line or a heading
  std::string text;    // one paragraph, or of a summary a line for each alert
  std::string evidence_json;
  std::string picture_svg;  // the batch's curve as an SVG document; empty when there is none
};

// What an attempt came to.
struct Delivered {
  enum class Outcome {
    arrived,  // the far end has said so
    later,    // it could not be had now: try again
    refused   // it will never take this: trying again is no use until something is changed
  } outcome;
  std::string answer;  // what the far end, or the network, said; one line for a person, never a secret
  std::optional<Duration> not_before;  // with `later`: the far end asked to wait so long
};

// One way to reach the brewer. A new kind is a class in channels/, its settings in config/channel_settings.h
// and a line in app/channels.cpp.
class Channel {
 public:
  virtual ~Channel() = default;

  // Tries once without blocking, and calls `done` exactly once, on any thread, perhaps before returning.
  virtual void send(const Notice& notice, std::function<void(Delivered)> done) = 0;
};

}  // namespace gyle
