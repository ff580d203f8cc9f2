#pragma once

#include <map>
#include <string>
#include <string_view>

#include "base/time.h"

namespace gyle {

// How often an address may give a wrong token and get an answer: five times in a row, then once a minute. Each
// address is counted by itself. Remembers at most 1000 of them, and drops those that have tried least.
class SignInAttempts {
 public:
  // A wrong token came; false: too often.
  bool failed(std::string_view peer, Time now);

 private:
  struct Allowance {
    double left;
    Time as_of;
  };
  std::map<std::string, Allowance, std::less<>> peers_;
};

}  // namespace gyle
