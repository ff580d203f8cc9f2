#include "wording/check_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "base/text.h"
#include "wording/format.h"

namespace gyle {
namespace {

// Limits without a source are common practice.
constexpr std::uint32_t kSmallestPacket_bytes = 16384;  // of an alert with its evidence, amply
constexpr std::uint32_t kSmallestWindow = 20;           // what the daemon sends at once
constexpr std::uint64_t kLeastRoom_bytes = 100'000'000;
constexpr std::uint64_t kLongLog_bytes = 64'000'000;
constexpr Duration kRenewBefore = days(21);   // the certificate ends
constexpr Duration kRecentRefusal = days(1);  // older ones may be repaired
constexpr Duration kUsualSilence = hours(6);  // longer than sensors usually sleep
constexpr Duration kOldCalibration = days(365);

std::size_t place_of(const std::string& part) {
  return static_cast<std::size_t>(std::find(std::begin(kCheckParts), std::end(kCheckParts), part) -
                                  std::begin(kCheckParts));
}

bool on_this_machine(const std::string& address) {
  const std::size_t begin = address.find("://");
  const std::string host = begin == std::string::npos ? address : address.substr(begin + 3);
  return host.starts_with("localhost") || host.starts_with("127.") || host.starts_with("[::1]");
}

CheckLine right(const char* part, std::string text) { return {part, Verdict::right, std::move(text), ""}; }
CheckLine look(const char* part, std::string text, std::string to_do = "") {
  return {part, Verdict::look, std::move(text), std::move(to_do)};
}
CheckLine wrong(const char* part, std::string text, std::string to_do) {
  return {part, Verdict::wrong, std::move(text), std::move(to_do)};
}

}  // namespace

const char* name(Verdict verdict) {
  constexpr const char* kNames[] = {"right", "look", "wrong"};
  return kNames[static_cast<int>(verdict)];
}

std::vector<std::string> check_lines(std::vector<CheckLine> lines) {
  std::stable_sort(lines.begin(), lines.end(), [](const CheckLine& a, const CheckLine& b) {
    return place_of(a.part) < place_of(b.part);
  });
  std::vector<std::string> all;
  for (const CheckLine& line : lines) {
    const std::string text = fmt::format("{:<6} {:<14} {}{}{}", name(line.verdict), line.part, line.text,
                                         line.to_do.empty() ? "" : " ", line.to_do);
    all.push_back(displayable(text, text.size()));
  }
  return all;
}

bool any_wrong(const std::vector<CheckLine>& lines) {
  return std::any_of(lines.begin(), lines.end(),
                     [](const CheckLine& line) { return line.verdict == Verdict::wrong; });
}

std::vector<CheckLine> broker_lines(const BrokerFacts& facts) {
  constexpr const char* kPart = "broker";
  if (!facts.trouble.empty()) {
    return {wrong(kPart, facts.trouble + ".",
                  "See that the broker runs, and check address, user, password and ca_file in [mqtt].")};
  }
  std::vector<CheckLine> lines;
  if (facts.address.starts_with("mqtts://")) {
    lines.push_back(
        right(kPart, fmt::format("Connected to {} over TLS; its certificate is trusted.", facts.address)));
  } else if (on_this_machine(facts.address)) {
    lines.push_back(right(kPart, fmt::format("Connected to {}.", facts.address)));
  } else {
    lines.push_back(
        look(kPart,
             fmt::format("Connected to {} without TLS: others on the network can read the password.",
                         facts.address),
             "Use mqtts:// unless the network is yours alone."));
  }
  if (!facts.version5) {
    lines.push_back(
        look(kPart, "With MQTT 3.1.1 a broker does not say how long it keeps the session, nor its limits.",
             "Set version = 5 in [mqtt] if the broker can."));
  } else {
    if (!facts.expiry_granted) {
      lines.push_back(
          look(kPart, "How long it keeps messages while the daemon is away is granted to the daemon only.",
               "Start gylekeeperd, then check again."));
    } else if (*facts.expiry_granted < facts.expiry_wanted) {
      lines.push_back(wrong(
          kPart,
          fmt::format(
              "It keeps the session for {} only, not for {}: what sensors send while the daemon is away "
              "for longer is lost.",
              show_length(*facts.expiry_granted), show_length(facts.expiry_wanted)),
          "Raise the broker's limit; mosquitto: persistent_client_expiration."));
    } else {
      lines.push_back(right(kPart, fmt::format("It grants that it keeps the session for {}.",
                                               show_length(*facts.expiry_granted))));
    }
    const std::uint32_t window = facts.receive_maximum.value_or(65535);
    if (window < kSmallestWindow) {
      lines.push_back(look(kPart,
                           fmt::format("It takes only {} messages at once: alerts go out slowly.", window),
                           "Raise its receive maximum; mosquitto: max_inflight_messages."));
    } else {
      lines.push_back(right(kPart, fmt::format("It takes {} messages at once.", window)));
    }
    if (!facts.largest_packet_bytes) {
      lines.push_back(look(kPart, "It takes messages of any size: a single one can fill its memory.",
                           "mosquitto: max_packet_size 65536."));
    } else if (*facts.largest_packet_bytes < kSmallestPacket_bytes) {
      lines.push_back(wrong(kPart,
                            fmt::format("It takes messages of at most {}: an alert can be larger.",
                                        show_bytes(*facts.largest_packet_bytes)),
                            "Raise its limit; mosquitto: max_packet_size 65536."));
    } else {
      lines.push_back(right(
          kPart, fmt::format("It takes messages of up to {}.", show_bytes(*facts.largest_packet_bytes))));
    }
  }
  lines.push_back(look(
      kPart, "How many messages it really keeps while the daemon is away cannot be seen over MQTT.",
      "mosquitto: see that max_queued_messages, max_queued_bytes and persistent_client_expiration are as "
      "mosquitto-gylekeeper.conf says."));
  return lines;
}

CheckLine echo_line(const EchoFacts& facts) {
  if (facts.took) {
    return right("broker", fmt::format("A message sent to itself came back after {} ms.",
                                       std::max<std::int64_t>(1, facts.took->count())));
  }
  return wrong("broker",
               fmt::format("A message sent to itself on {} did not come back{}.", facts.topic,
                           facts.trouble.empty() ? "" : ": " + facts.trouble),
               "Let this user write and read gylekeeper/# at the broker.");
}

std::vector<CheckLine> database_lines(const DatabaseFacts& facts) {
  constexpr const char* kPart = "database";
  std::vector<CheckLine> lines;
  if (!facts.trouble.empty()) {
    lines.push_back(
        wrong(kPart, facts.trouble + ".",
              "When it is damaged: stop gylekeeperd, then use `gylekeeper restore` with a backup, or "
              "`gylekeeper salvage`."));
  } else if (!facts.holds.empty()) {
    lines.push_back(right(kPart, fmt::format("{} is whole. It holds {}.", facts.file, facts.holds)));
  } else {
    lines.push_back(look(kPart, "No damage is known; it was not read whole.",
                         "`sudo gylekeeper check` reads all of it."));
  }
  if (facts.free_bytes) {
    const std::string room = show_bytes(static_cast<double>(*facts.free_bytes));
    if (*facts.free_bytes < std::max(kLeastRoom_bytes, facts.database_bytes / 10)) {
      lines.push_back(wrong(kPart, fmt::format("Its disk has {} left.", room),
                            "Delete what is not needed before it is full: then nothing can be stored."));
    } else {
      lines.push_back(right(kPart, fmt::format("Its disk has {} left.", room)));
    }
  }
  if (facts.log_bytes > kLongLog_bytes) {
    lines.push_back(look(
        kPart,
        fmt::format("Its write-ahead log has grown to {}.", show_bytes(static_cast<double>(facts.log_bytes))),
        "Close other programs that have the database open."));
  }
  return lines;
}

CheckLine clock_line(const ClockFacts& facts) {
  if (!facts.synchronised) {
    return look("clock", "Whether the clock is synchronised cannot be seen from here.",
                "`timedatectl` shows it.");
  }
  if (*facts.synchronised) {
    return right("clock", fmt::format("The clock is synchronised{}.",
                                      facts.source.empty() ? "" : " by " + facts.source));
  }
  if (facts.source.empty()) {
    return wrong("clock", "Nothing sets the clock: readings and alerts get wrong times.",
                 "Install systemd-timesyncd or chrony.");
  }
  return wrong("clock", fmt::format("The clock is not synchronised, although {} runs.", facts.source),
               "See that its time servers can be reached over the network.");
}

CheckLine channel_line(const ChannelFacts& facts) {
  const std::string title = fmt::format("{} ({}): ", facts.name, facts.kind);
  if (!facts.trouble.empty()) {
    return wrong("channel", title + facts.trouble + (facts.trouble.ends_with('.') ? "" : "."),
                 facts.refused > 0
                     ? fmt::format("Once that is fixed: gylekeeper channels --retry {}.", facts.name)
                     : fmt::format("Once that is fixed: gylekeeper alert-test {}.", facts.name));
  }
  std::string text = facts.tested    ? "a test has arrived"
                     : facts.reached ? "its server answers"
                                     : "configured right";
  if (facts.waiting > 0) text += fmt::format("; {} waiting", facts.waiting);
  return right("channel", title + text + ".");
}

std::vector<CheckLine> page_lines(const PageFacts& facts, const DisplaySettings& display, Time now) {
  constexpr const char* kPart = "page";
  if (!facts.enabled) return {right(kPart, "There is none: enabled = false in [page].")};
  if (!facts.trouble.empty()) {
    return {wrong(kPart, fmt::format("{} does not answer: {}.", facts.url, facts.trouble),
                  "See that gylekeeperd runs; its log says why there is no page.")};
  }
  std::vector<CheckLine> lines;
  if (facts.encrypted || facts.this_machine_only) {
    lines.push_back(right(kPart, fmt::format("{} answers{}.", facts.url,
                                             facts.this_machine_only ? ", on this machine only" : "")));
  } else {
    lines.push_back(look(
        kPart, fmt::format("{} answers without TLS: others on the network can read its secret.", facts.url),
        "Set certificate and key in [page] unless the network is yours alone."));
  }
  if (!facts.secret) {
    lines.push_back(look(kPart, "It has no secret: it only shows.",
                         "To change something from it, set token_file in [page]."));
  }
  if (facts.certificate_ends) {
    const std::string end = show_date(*facts.certificate_ends, display);
    if (*facts.certificate_ends <= now) {
      lines.push_back(wrong(kPart, fmt::format("Its certificate ended on {}.", end),
                            "Renew it, then reload gylekeeperd."));
    } else if (*facts.certificate_ends - now < kRenewBefore) {
      lines.push_back(look(kPart, fmt::format("Its certificate ends on {}.", end),
                           "Renew it before that, then reload gylekeeperd."));
    } else {
      lines.push_back(right(kPart, fmt::format("Its certificate is valid until {}.", end)));
    }
  }
  return lines;
}

namespace {

CheckLine heard_line(const SensorFacts& facts, const DisplaySettings& display, Time now) {
  constexpr const char* kPart = "sensors";
  const std::string title =
      facts.sensor + (facts.vessel.empty() ? " (in no vessel)" : fmt::format(" (in {})", facts.vessel));
  if (facts.refused && now - *facts.refused < kRecentRefusal &&
      (!facts.heard || *facts.refused > *facts.heard)) {
    return wrong(kPart,
                 fmt::format("{}: refused {}: {}.", title, show_time_from(*facts.refused, display, now),
                             facts.refusal),
                 "`gylekeeper refusals` shows the message; correct the sensor or its [[source]].");
  }
  if (!facts.heard) {
    return wrong(kPart, title + ": not heard yet.",
                 "Switch it on; `gylekeeper listen` shows what arrives and under which id.");
  }
  const std::string heard =
      fmt::format("{}: heard {} ago.", title, show_length(std::max(Duration{}, now - *facts.heard)));
  if (facts.vessel.empty()) {
    return look(kPart, heard, "Name it in a [[vessel]] block, or `gylekeeper forget` it.");
  }
  if (facts.silent || now - *facts.heard > kUsualSilence) {
    return look(kPart, heard, "If it should be sending, look at its battery and its network.");
  }
  return right(kPart, heard);
}

std::optional<CheckLine> calibration_line(const SensorFacts& facts, const DisplaySettings& display,
                                          Time now) {
  constexpr const char* kPart = "calibration";
  if (facts.calibrated) {
    const std::string made =
        fmt::format("{} was calibrated on {}.", facts.sensor, show_date(*facts.calibrated, display));
    if (now - *facts.calibrated < kOldCalibration) return right(kPart, made);
    return look(kPart, made, "Check it in water before the next batch; it should show 1.000.");
  }
  if (!facts.inclination || facts.vessel.empty()) return std::nullopt;
  if (facts.gravity) {
    return look(kPart, fmt::format("{} reports its own gravity, without a calibration here.", facts.sensor),
                "Check it in water before the next batch; it should show 1.000.");
  }
  return wrong(
      kPart,
      fmt::format("{} sends inclinations, which mean no gravity before it is calibrated.", facts.sensor),
      fmt::format("`gylekeeper calibrate {}` with two or more points.", facts.sensor));
}

}  // namespace

std::vector<CheckLine> sensor_check_lines(const std::vector<SensorFacts>& sensors, std::size_t vessels,
                                          const DisplaySettings& display, Time now) {
  std::vector<CheckLine> lines;
  if (vessels == 0) {
    lines.push_back(wrong("sensors", "No vessel is configured: no batch can be pitched.",
                          "Write a [[vessel]] block with the ids of its sensors."));
  }
  if (sensors.empty()) {
    lines.push_back(wrong("sensors", "No sensor has been heard, and none is in a vessel.",
                          "`gylekeeper listen` shows what arrives and proposes a [[source]]."));
  }
  for (const SensorFacts& facts : sensors) {
    lines.push_back(heard_line(facts, display, now));
    if (auto line = calibration_line(facts, display, now)) lines.push_back(std::move(*line));
  }
  return lines;
}

}  // namespace gyle
