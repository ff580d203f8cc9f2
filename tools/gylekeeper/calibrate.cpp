#include "answer_lines.h"
#include "calibration/inclination_fit.h"
#include "control/request_target.h"
#include "control_client.h"
#include "verbs.h"

namespace gyle {
namespace {

struct CalibrateOptions {
  std::string sensor;
  std::vector<std::string> points;  // calibration/inclination_fit.h
  std::optional<std::string> samples;
  bool dry_run = false;
  bool show = false;
  bool set_aside = false;
};

Exit run_calibrate(const CalibrateOptions& options, const CommonOptions& common) {
  if (!options.show && !options.set_aside && options.points.empty() && !options.samples) {
    return complain(
        Error{Errc::missing,
              "give two points or more, as --point \"21.4 = 1.000\" --point \"57.3 = 10 P\", or the "
              "hand samples of a batch with --samples; --show shows the calibration in force"},
        Exit::wrong_use);
  }
  std::string body;
  for (const std::string& text : options.points) {
    if (const auto point = parse_calibration_point(text); !point) {
      return complain(point.error(), Exit::wrong_use);
    }
    body += text + '\n';
  }
  return show_answer(common, [&](const ControlClient& daemon) {
    const std::string address = "/v1/sensors/" + percent_encoded(options.sensor) + "/calibration";
    if (options.show) return daemon.get(address);
    if (options.set_aside) return daemon.post(address + "/set-aside", "text/plain", "");
    const std::string query =
        query_text({{"samples", options.samples},
                    {"dry_run", options.dry_run ? std::optional<std::string>("true") : std::nullopt}});
    return daemon.post(address + query, "text/plain; charset=utf-8", body);
  });
}

}  // namespace

Verb calibrate_verb() {
  const auto o = std::make_shared<CalibrateOptions>();
  const std::vector<std::string> making{"--point", "--samples", "--dry-run"};
  std::vector<std::string> else_than_show = making;
  else_than_show.emplace_back("--set-aside");
  return {
      .name = "calibrate",
      .about = "calculate a hydrometer's gravity from its inclination, by points you measured",
      .arguments = {{.name = "sensor",
                     .place = &o->sensor,
                     .about = "as gylekeeper sensors shows it",
                     .required = true},
                    {.name = "--point",
                     .place = &o->points,
                     .about = "an inclination in degrees from vertical and the gravity it was measured in, "
                              "as \"21.4 = 1.000\" or "
                              "\"57.3 = 10 P\"; two or more",
                     .value = "\"DEGREES = GRAVITY\""},
                    {.name = "--samples",
                     .place = &o->samples,
                     .about = "a batch: its hand samples are points too, each with the middle of the "
                              "inclinations within an hour of it",
                     .value = "BATCH",
                     .offer = Offer::batches},
                    {.name = "--dry-run",
                     .place = &o->dry_run,
                     .about = "only show what the curve would be and how far off the points are"},
                    {.name = "--show",
                     .place = &o->show,
                     .about = "show the calibration in force, and when there were others",
                     .excludes = else_than_show},
                    {.name = "--set-aside",
                     .place = &o->set_aside,
                     .about = "go back to the gravity that the sensor sends",
                     .excludes = making}},
      .notes =
          "Make sugar solutions by weight: 10 g of table sugar and 90 g of water are 10 P. Bring them and "
          "the hydrometer to about 20 C, and let the hydrometer swim freely. Measure at least water and the "
          "strongest wort you brew; two more points between them are better.\n"
          "A batch in its vessel is re-evaluated from its pitch on. Well outside the range of the points, an "
          "inclination gives no gravity.",
      .examples =
          {"gylekeeper calibrate hydrometer-1 --point \"21.4 = 1.000\" --point \"39.6 = 5 P\" --point "
           "\"57.3 = 10 P\" --dry-run",
           "gylekeeper calibrate hydrometer-1 --samples \"Amber no. 12\"",
           "gylekeeper calibrate hydrometer-1 --show"},
      .run = [o](const CommonOptions& common) { return run_calibrate(*o, common); }};
}

}  // namespace gyle
