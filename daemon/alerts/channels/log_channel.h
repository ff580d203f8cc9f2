#pragma once

#include "alerts/channels/channel.h"
#include "wording/display.h"

namespace gyle {

// The process's log, at the severity of the alert; one log entry per line of text.
class LogChannel final : public Channel {
 public:
  explicit LogChannel(DisplaySettings display);
  void send(const Notice& notice, std::function<void(Delivered)> done) override;

 private:
  DisplaySettings display_;
};

}  // namespace gyle
