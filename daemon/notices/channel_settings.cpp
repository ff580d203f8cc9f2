#include "notices/channel_settings.h"

#include <algorithm>

namespace gyle {
namespace {

bool among(const std::vector<std::string>& wanted, std::string_view one) {
  return wanted.empty() || std::find(wanted.begin(), wanted.end(), one) != wanted.end();
}

}  // namespace

bool AlertFilter::takes(Severity severity, std::string_view kind, std::string_view vessel,
                        std::string_view batch) const {
  return severity <= at_least && among(kinds, kind) && (vessel.empty() || among(vessels, vessel)) &&
         (batch.empty() || among(batches, batch));
}

}  // namespace gyle
