#pragma once

#include <string>
#include <string_view>

namespace gyle {

// A time zone of the IANA database as people read it, for "in ...": "New York time", "UTC". A name that is no
// place ("CET", "Etc/GMT+3") stays as it is.
//   tests  unit/base/zone_words_test.cpp
std::string zone_words(std::string_view name);

}  // namespace gyle
