#include <fmt/format.h>

#include "config/batch_file.h"
#include "config/batch_validation.h"
#include "control/request_target.h"
#include "control_answers.h"
#include "control_client.h"
#include "hold_text.h"
#include "time_option.h"
#include "tool_settings.h"
#include "units/quantity_text.h"
#include "verbs.h"

namespace gyle {
namespace {

// The batch that the options describe; when it was pitched is filled in by the caller.
Result<BatchSpec> described(const PitchOptions& options) {
  if (options.batch_file) return load_batch(*options.batch_file);
  BatchSpec batch;
  batch.name = options.name;
  batch.yeast.name = options.yeast;
  if (options.original_gravity) {
    BOOST_OUTCOME_TRY(gravity, parse_gravity(*options.original_gravity));
    batch.original_gravity = gravity;
  }
  if (options.volume) {
    BOOST_OUTCOME_TRY(litres, parse_volume_litres(*options.volume));
    batch.volume_l = litres;
  }
  if (options.attenuation) {
    BOOST_OUTCOME_TRY(band, parse_range(*options.attenuation, "0.73:0.79"));
    BOOST_OUTCOME_TRY(low, parse_number(band.low));
    BOOST_OUTCOME_TRY(high, parse_number(band.high));
    batch.yeast.attenuation_low = low;
    batch.yeast.attenuation_high = high;
  }
  if (options.yeast_range) {
    BOOST_OUTCOME_TRY(range, parse_range(*options.yeast_range, "\"16 Cel:22 Cel\""));
    BOOST_OUTCOME_TRY(low, parse_temperature(range.low));
    BOOST_OUTCOME_TRY(high, parse_temperature(range.high));
    batch.yeast.temperature_low = low;
    batch.yeast.temperature_high = high;
  }
  for (const std::string& text : options.holds) {
    BOOST_OUTCOME_TRY(hold, parse_hold(text));
    batch.plan.push_back(hold);
  }
  return batch;
}

}  // namespace

Exit run(const PitchOptions& options, const CommonOptions& common) {
  auto batch = described(options);
  if (!batch) return complain(batch.error(), Exit::wrong_use);
  const auto socket = control_socket(common);
  if (!socket) return complain(socket.error(), Exit::wrong_use);
  const ControlClient daemon(socket.value());

  if (options.pitched) {
    const auto time = time_option(*options.pitched, TimeSense::past, daemon);
    if (!time) {
      return time.error().code == Errc::unavailable ? complain(time.error())
                                                    : complain(time.error(), Exit::wrong_use);
    }
    batch.value().pitched = time.value();
  } else if (!options.batch_file) {
    // "Now" by the daemon's clock, which in a rehearsal is not ours.
    const auto answer = ask_daemon(daemon);
    if (!answer) return complain(answer.error());
    if (!answer.value().now) {
      return complain(Error{Errc::missing,
                            "the daemon does not know what time it is: it runs with "
                            "--clock-follows-messages, and no message has come since it started; say when "
                            "the yeast went in, as --pitched \"2026-03-01 18:30\""});
    }
    batch.value().pitched = *answer.value().now;
  }
  if (const auto valid = validate(batch.value()); !valid) return complain(valid.error(), Exit::wrong_use);

  const auto body = daemon.post("/v1/batches?vessel=" + percent_encoded(options.vessel), "application/toml",
                                format_batch(batch.value()));
  if (!body) return complain(body.error());
  if (common.json) {
    fmt::print("{}", body.value());
    return Exit::ok;
  }
  const auto pitched = read_batch(body.value());
  if (!pitched) return complain(pitched.error());
  fmt::print("\"{}\" is in {}, as batch {}.\n", pitched.value().name, pitched.value().vessel,
             pitched.value().id);
  return Exit::ok;
}

}  // namespace gyle
