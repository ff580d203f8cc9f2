#pragma once

#include "alerts/channel.h"
#include "wording/display.h"

namespace gyle {

// The process's log, with the severity of the alert. Of several lines each is one of the log's.
class LogChannel final : public Channel {
 public:
  explicit LogChannel(DisplaySettings display);
  void send(const Notice& notice, std::function<void(Delivered)> done) override;

 private:
  DisplaySettings display_;
};

}  // namespace gyle
