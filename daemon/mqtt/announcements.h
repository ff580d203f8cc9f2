#pragma once

#include <string>

namespace gyle {

// What about the connection is reported: every connection, every loss of one, and why there is none, once for
// each new reason rather than once for each attempt.
class Announcements {
 public:
  void connected() { reported_.clear(); }
  bool report_refused(const std::string& reason) {
    if (reason == reported_) return false;
    reported_ = reason;
    return true;
  }

 private:
  std::string reported_;
};

}  // namespace gyle
