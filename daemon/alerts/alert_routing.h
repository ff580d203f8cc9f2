#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "notices/channel_settings.h"

namespace gyle {

// Which channels take an alert, by their settings.
//   threads  any; immutable
class AlertRouting {
 public:
  // `severities`: the brewer's own severity for some kinds, by name.
  explicit AlertRouting(std::vector<ChannelSettings> channels,
                        std::map<std::string, Severity, std::less<>> severities = {})
      : channels_(std::move(channels)), severities_(std::move(severities)) {}

  Severity severity(std::string_view kind, Severity usual) const;

  // Names of the channels that take such an alert ...
  std::vector<std::string> of(Severity severity, std::string_view kind, std::string_view vessel,
                              std::string_view batch) const;
  // ... a reminder of it, and the daily digest.
  std::vector<std::string> of_reminder(Severity severity, std::string_view kind, std::string_view vessel,
                                       std::string_view batch) const;
  std::vector<std::string> of_digest() const;

  std::vector<std::string> names() const;
  const std::vector<ChannelSettings>& channels() const { return channels_; }

 private:
  std::vector<ChannelSettings> channels_;
  std::map<std::string, Severity, std::less<>> severities_;
};

}  // namespace gyle
