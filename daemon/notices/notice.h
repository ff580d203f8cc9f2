#pragma once

#include <optional>
#include <string>

#include "base/time.h"
#include "fermentation/decision.h"

namespace gyle {

// An alert as one channel sends it, or several alerts in one message.
struct Notice {
  std::string id;    // the same at every attempt, so that receivers recognise a repetition
  Time time;         // of the newest alert in it
  std::string kind;  // "stuck", ...; "summary" for several in one
  Severity severity;
  std::string state;   // "raised", "withdrawn", or "reminder" of an open alert
  std::string vessel;  // empty: a system alert, or several vessels
  std::string batch;   // likewise
  std::string sensor;  // empty unless it is about one
  std::string title;   // for a subject line or a heading
  std::string text;    // one paragraph; in a summary a line per alert
  std::string evidence_json;
  std::string picture_svg;  // the batch's curve as an SVG document; empty when there is none
};

// The outcome of one attempt.
struct Delivered {
  enum class Outcome {
    arrived,  // accepted by the destination
    later,    // failed for now: try again
    refused   // will never be accepted: retry only after a change
  } outcome;
  std::string answer;                  // reply or failure as one line for a person, without secrets
  std::optional<Duration> not_before;  // with `later`: requested by the destination
};

}  // namespace gyle
