#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <string>

namespace gyle {

// Sends each event to every open event stream.
//   threads  the loop's
class EventHub {
 public:
  using Event = std::shared_ptr<const std::string>;

  // `text`: whole events as they go over the wire, each ended by an empty line (HTML standard, 9.2,
  // "Server-sent events").
  void publish(std::string text);

  // `take` is called for each event until unsubscribe(); it must not block. It may unsubscribe itself.
  std::uint64_t subscribe(std::function<void(const Event&)> take);
  void unsubscribe(std::uint64_t subscription) { takers_.erase(subscription); }

  std::size_t listeners() const { return takers_.size(); }

 private:
  std::map<std::uint64_t, std::function<void(const Event&)>> takers_;
  std::uint64_t next_ = 1;
};

}  // namespace gyle
