#include "wording/alert_title.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "wording/fitted_text.h"

namespace gyle {
namespace {

constexpr std::size_t kMostSensor = 20;  // columns

// What follows the batch's name; "{}" is the sensor.
struct Row {
  AlertKind kind;
  const char* raised;
  const char* withdrawn;
};
constexpr std::array<Row, 13> kTitles{{
    {AlertKind::fermentation_started, "fermentation has started", "has not started after all"},
    {AlertKind::slow_start, "no sign of fermentation", "has started after all"},
    {AlertKind::step_due, "ready for its next step", "hold not over after all"},
    {AlertKind::step_not_held, "temperature not as planned", "temperature alert is over"},
    {AlertKind::temperature_out_of_range, "temperature out of range", "temperature alert is over"},
    {AlertKind::stuck, "seems to have stopped early", "no longer stuck"},
    {AlertKind::final_gravity_stable, "final gravity reached", "not final after all, do not package"},
    {AlertKind::over_attenuated, "gone further than expected", "attenuation as expected again"},
    {AlertKind::sensor_silent, "{} is silent", "{} is heard again"},
    {AlertKind::sensor_frozen, "{} does not move", "{} moves again"},
    {AlertKind::sensor_implausible, "{} makes no sense", "{} makes sense again"},
    {AlertKind::battery_low, "battery of {} is low", "battery of {} is good again"},
    {AlertKind::gravity_jumped, "{} has jumped", "jump of {} is cleared up"},
}};

}  // namespace

std::string alert_phrase(AlertKind kind, Decision::State state, std::string_view sensor) {
  const auto row =
      std::find_if(kTitles.begin(), kTitles.end(), [kind](const Row& r) { return r.kind == kind; });
  std::string what = row == kTitles.end()               ? name(kind)
                     : state == Decision::State::raised ? row->raised
                                                        : row->withdrawn;
  if (const auto place = what.find("{}"); place != std::string::npos) {
    what.replace(place, 2, sensor.empty() ? "a sensor" : fitted(sensor, kMostSensor));
  }
  return what;
}

std::string alert_title(AlertKind kind, Decision::State state, std::string_view batch,
                        std::string_view sensor) {
  const std::string what = alert_phrase(kind, state, sensor);
  return fmt::format("{}: {}", fitted(batch, kTitleColumns - 2 - columns(what)), what);
}

std::string reminder_title(std::string_view title) {
  return fitted(fmt::format("Reminder: {}", title), kTitleColumns);
}

}  // namespace gyle
