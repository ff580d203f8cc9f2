#pragma once

#include <string>

namespace gyle {

// What about the connection is worth telling: every connection, every loss of one, and why there is none,
// once for each new reason rather than once for each attempt.
class Announcements {
 public:
  void connected() { told_.clear(); }
  bool tell_refused(const std::string& reason) {
    if (reason == told_) return false;
    told_ = reason;
    return true;
  }

 private:
  std::string told_;
};

}  // namespace gyle
