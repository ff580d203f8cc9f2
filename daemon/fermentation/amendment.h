#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "base/time.h"
#include "fermentation/batch.h"
#include "units/gravity.h"

namespace gyle {

// What of a batch can have been entered wrongly, and be corrected.
enum class AmendedThing { description, sample, note, packaged };
const char* name(AmendedThing thing);  // "description", ...

// Such an entry, before or after.
struct NotThere {};  // it was removed; of `packaged`: the batch is in its vessel
struct HandSample {
  Time time;
  SpecificGravity gravity;
};
struct WrittenNote {
  Time time;
  std::string text;
};
using Entry = std::variant<NotThere, BatchSpec, HandSample, WrittenNote, Time>;

// One correction.
struct Amendment {
  std::int64_t id = 0;
  Time time;  // when it was made
  AmendedThing thing = AmendedThing::description;
  std::int64_t number = 0;  // of the sample or the note; else 0
  Entry before;
  Entry after;
  std::optional<std::int64_t> undoes;  // it only reverses that amendment
  bool undone = false;
};

}  // namespace gyle
