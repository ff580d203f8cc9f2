#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/clock.h"
#include "control/event_hub.h"

namespace gyle {

// Notifies open pages of changes, at most once a second, as a server-sent event:
//   event: changed
//   data: {"time":1772391600,"batches":[3,4]}
//   threads  the loop's
class ChangeNotice {
 public:
  struct Parts {
    std::function<void(Duration, std::function<void()>)> after;
    // The batches in these vessels; in all of them when there is none named.
    std::function<std::vector<std::int64_t>(const std::set<std::string>&)> batches;
  };
  // `clock` is the brewer's; it and `hub` must outlive this, and this whatever `after` has been given.
  ChangeNotice(EventHub& hub, const Clock& clock, Parts parts);

  void changed_in(const std::string& vessel);
  void changed();  // no vessel in particular

 private:
  void schedule();
  void publish();

  EventHub& hub_;
  const Clock& clock_;
  Parts parts_;
  std::set<std::string> vessels_;
  bool all_ = false;
  bool scheduled_ = false;  // or published less than a second ago
};

}  // namespace gyle
