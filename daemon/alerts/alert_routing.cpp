#include "alerts/alert_routing.h"

namespace gyle {

Severity AlertRouting::severity(std::string_view kind, Severity usual) const {
  const auto found = severities_.find(kind);
  return found == severities_.end() ? usual : found->second;
}

std::vector<std::string> AlertRouting::of(Severity severity, std::string_view kind, std::string_view vessel,
                                          std::string_view batch) const {
  std::vector<std::string> names;
  for (const ChannelSettings& channel : channels_) {
    if (channel.filter.takes(severity, kind, vessel, batch)) names.push_back(channel.name);
  }
  return names;
}

std::vector<std::string> AlertRouting::of_reminder(Severity severity, std::string_view kind,
                                                   std::string_view vessel, std::string_view batch) const {
  std::vector<std::string> names;
  for (const ChannelSettings& channel : channels_) {
    if (channel.reminders && channel.for_people() && channel.filter.takes(severity, kind, vessel, batch)) {
      names.push_back(channel.name);
    }
  }
  return names;
}

std::vector<std::string> AlertRouting::of_digest() const {
  std::vector<std::string> names;
  for (const ChannelSettings& channel : channels_) {
    if (channel.digest && channel.for_people()) names.push_back(channel.name);
  }
  return names;
}

std::vector<std::string> AlertRouting::names() const {
  std::vector<std::string> names;
  for (const ChannelSettings& channel : channels_) names.push_back(channel.name);
  return names;
}

}  // namespace gyle
