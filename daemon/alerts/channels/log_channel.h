#pragma once

#include "alerts/channel.h"
#include "wording/display.h"

namespace gyle {

// The process's log, with the severity of the alert.
class LogChannel final : public Channel {
 public:
  explicit LogChannel(DisplaySettings display);
  std::string name() const override { return "log"; }
  void send(const Notice& notice, std::function<void(Status)> done) override;

 private:
  DisplaySettings display_;
};

}  // namespace gyle
