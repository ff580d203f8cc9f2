#pragma once

#include <map>
#include <string>
#include <string_view>

#include "base/time.h"

namespace gyle {

// How often a token may be tried in vain: five times in a row from one address, then once a minute; thirty
// times in a row from all together, then once in two seconds.
class Attempts {
 public:
  // Whether another try may be looked at.
  bool allowed(std::string_view peer, Time now) const;
  void failed(std::string_view peer, Time now);

 private:
  struct Allowance {
    double left;
    Time as_of;
  };
  std::map<std::string, Allowance, std::less<>> peers_;
  Allowance all_{30.0, Time{}};
};

}  // namespace gyle
