#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "base/time.h"
#include "fermentation/batch.h"
#include "units/gravity.h"

namespace gyle {

// What of a batch can have been entered wrongly, and be put right.
enum class AmendedThing { description, sample, note, packaged };
const char* name(AmendedThing thing);  // "description", ...

// How such a thing is or was.
struct NotThere {};  // it was taken back; of `packaged`: the batch is in its vessel
struct HandSample {
  Time time;
  SpecificGravity gravity;
};
struct WrittenNote {
  Time time;
  std::string text;
};
using Entry = std::variant<NotThere, BatchSpec, HandSample, WrittenNote, Time>;

// One thing that was put right.
struct Amendment {
  std::int64_t id = 0;
  Time time;  // when it was put right
  AmendedThing thing = AmendedThing::description;
  std::int64_t number = 0;  // the sample's or the note's; else 0
  Entry before;
  Entry after;
  std::optional<std::int64_t> undoes;  // it only takes back that amendment
  bool undone = false;
};

}  // namespace gyle
