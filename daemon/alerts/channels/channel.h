#pragma once

#include <functional>

#include "notices/notice.h"

namespace gyle {

// Sends notices to one destination. A new kind is a class in this folder, its settings in
// notices/channel_settings.h and a case in app/channels.cpp.
class Channel {
 public:
  virtual ~Channel() = default;

  // One attempt. Does not block; calls `done` exactly once, on any thread, possibly before it returns.
  virtual void send(const Notice& notice, std::function<void(Delivered)> done) = 0;
};

}  // namespace gyle
