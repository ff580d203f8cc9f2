#pragma once

#include <functional>
#include <string>

#include "base/result.h"
#include "base/time.h"
#include "fermentation/decision.h"

namespace gyle {

// A decision on its way to the brewer.
struct Notice {
  std::string id;  // the same at every attempt, for the far end to recognise a repetition
  Time time;
  AlertKind kind;
  Severity severity;
  Decision::State state;
  std::string vessel;
  std::string batch;
  std::string sensor;  // empty unless it is about one
  std::string sentence;
  std::string evidence_json;
};

// One way to reach the brewer. A new one is one file in channels/ and one line in app/service.cpp.
class Channel {
 public:
  virtual ~Channel() = default;

  // Under which its deliveries wait in the outbox.
  virtual std::string name() const = 0;

  // Tries once without blocking, and calls `done` exactly once, on any thread, perhaps before returning.
  virtual void send(const Notice& notice, std::function<void(Status)> done) = 0;
};

}  // namespace gyle
