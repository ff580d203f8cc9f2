#include "check_probes.h"

#include <curl/curl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <condition_variable>
#include <cstring>
#include <memory>
#include <mutex>

#include "clock/system_clock.h"
#include "config/read_file.h"
#include "mqtt/link.h"
#include "notices/endpoint.h"

namespace gyle {
namespace {

using std::chrono::steady_clock;

constexpr auto kConnectPatience = std::chrono::seconds(5);
constexpr auto kEchoPatience = std::chrono::seconds(5);
constexpr auto kSendAgain = std::chrono::milliseconds(300);  // the first may be sent before the subscription
constexpr long kServerPatience_s = 10;

// What the link's threads report.
struct Seen {
  std::mutex mutex;
  std::condition_variable changed;
  bool connected = false;
  BrokerLimits limits;
  std::string trouble;  // of the connection
  std::string denied;   // of subscription or message
  std::vector<steady_clock::time_point> sent;
  std::optional<Duration> took;
};

EchoFacts await_echo(MqttLink& link, const std::string& topic, Seen& seen) {
  const auto give_up = steady_clock::now() + kEchoPatience;
  std::unique_lock lock(seen.mutex);
  while (!seen.took && seen.denied.empty() && steady_clock::now() < give_up) {
    seen.sent.push_back(steady_clock::now());
    const std::string payload = std::to_string(seen.sent.size() - 1);
    lock.unlock();
    link.publish(topic, payload, false, [&seen](const Status& status) {
      if (status || status.error().code != Errc::refused) return;
      const std::lock_guard guard(seen.mutex);
      seen.denied = status.error().message;
      seen.changed.notify_all();
    });
    lock.lock();
    seen.changed.wait_for(lock, kSendAgain, [&] { return seen.took || !seen.denied.empty(); });
  }
  return {topic, seen.took, seen.denied};
}

using Curl = std::unique_ptr<CURL, decltype(&curl_easy_cleanup)>;

Curl open_curl(const std::string& url, char* why) {
  static const bool ready = curl_global_init(CURL_GLOBAL_DEFAULT) == CURLE_OK;
  Curl curl(ready ? curl_easy_init() : nullptr, &curl_easy_cleanup);
  why[0] = '\0';
  if (!curl) return curl;
  curl_easy_setopt(curl.get(), CURLOPT_URL, url.c_str());
  curl_easy_setopt(curl.get(), CURLOPT_ERRORBUFFER, why);
  curl_easy_setopt(curl.get(), CURLOPT_TIMEOUT, kServerPatience_s);
  curl_easy_setopt(curl.get(), CURLOPT_NOSIGNAL, 1L);
  return curl;
}

std::string reason(CURLcode code, const char* why) { return why[0] != '\0' ? why : curl_easy_strerror(code); }

struct Server {
  std::string url;  // without path and query, which may be secret
  std::filesystem::path ca_file;
  std::string username;
  std::filesystem::path password_file;
};

Result<Server> server_of(const ChannelSettings& channel) {
  if (const auto* webhook = std::get_if<WebhookSettings>(&channel.kind)) {
    BOOST_OUTCOME_TRY(endpoint, parse_endpoint(webhook->url, {"http", "https"}));
    return Server{endpoint.shown(), webhook->ca_file, "", {}};
  }
  if (const auto* mail = std::get_if<EmailSettings>(&channel.kind)) {
    BOOST_OUTCOME_TRY(endpoint, parse_endpoint(mail->server, {"smtps", "smtp"}));
    std::string url = endpoint.shown();
    if (!endpoint.has_port) url += endpoint.scheme == "smtps" ? ":465" : ":587";
    return Server{url, mail->ca_file, mail->username, mail->password_file};
  }
  return Server{};
}

std::size_t ignore(char*, std::size_t size, std::size_t count, void*) { return size * count; }

std::optional<Time> end_of_certificate(CURL* curl) {
  curl_certinfo* chain = nullptr;
  if (curl_easy_getinfo(curl, CURLINFO_CERTINFO, &chain) != CURLE_OK || chain == nullptr) return std::nullopt;
  if (chain->num_of_certs < 1) return std::nullopt;
  constexpr const char* kEnds = "Expire date:";
  for (const curl_slist* line = chain->certinfo[0]; line != nullptr; line = line->next) {
    if (std::strncmp(line->data, kEnds, std::strlen(kEnds)) != 0) continue;
    const time_t ends = curl_getdate(line->data + std::strlen(kEnds), nullptr);
    if (ends > 0) return Time(seconds(ends));
  }
  return std::nullopt;
}

}  // namespace

BrokerProbe probe_broker(const BrokerSettings& broker) {
  BrokerProbe probe;
  probe.facts.address = broker.settings.broker;
  probe.facts.expiry_wanted = broker.settings.session_expiry;
  const std::string topic =
      fmt::format("gylekeeper/check/{}-{}", ::getpid(), steady_clock::now().time_since_epoch().count());
  Seen seen;
  LinkHandlers handlers;
  handlers.on_message = [&](const Message& message, std::stop_token) -> Status {
    const std::lock_guard lock(seen.mutex);
    for (std::size_t i = 0; i < seen.sent.size() && !seen.took; ++i) {
      if (message.payload != std::to_string(i)) continue;
      seen.took = std::chrono::duration_cast<Duration>(steady_clock::now() - seen.sent[i]);
    }
    seen.changed.notify_all();
    return success();
  };
  handlers.on_event = [&](const LinkEvent& event) {
    const std::lock_guard lock(seen.mutex);
    if (event.kind == LinkEvent::Kind::connected) {
      seen.connected = true;
      seen.limits = event.limits;
    } else if (event.kind == LinkEvent::Kind::denied) {
      seen.denied = event.text;
    } else if (event.kind != LinkEvent::Kind::degraded) {
      seen.trouble = event.text;
    }
    seen.changed.notify_all();
  };
  const SystemClock clock;
  MqttLink link(broker.settings, broker.password, {topic}, std::move(handlers), clock);
  if (const auto started = link.start(); !started) {
    probe.facts.trouble = started.error().message;
    return probe;
  }
  {
    std::unique_lock lock(seen.mutex);
    seen.changed.wait_for(lock, kConnectPatience, [&] { return seen.connected || !seen.trouble.empty(); });
    if (!seen.connected) {
      probe.facts.trouble = seen.trouble.empty()
                                ? fmt::format("the broker {} does not answer", broker.settings.broker)
                                : seen.trouble;
    }
    probe.facts.version5 = seen.limits.version5;
    probe.facts.receive_maximum = seen.limits.receive_maximum;
    probe.facts.largest_packet_bytes = seen.limits.largest_packet_bytes;
  }
  if (probe.facts.trouble.empty()) probe.echo = await_echo(link, topic, seen);
  (void)link.stop();
  return probe;
}

Result<bool> reach_server(const ChannelSettings& channel) {
  BOOST_OUTCOME_TRY(server, server_of(channel));
  if (server.url.empty()) return false;
  char why[CURL_ERROR_SIZE];
  const Curl curl = open_curl(server.url, why);
  if (!curl) return fail(Errc::unavailable, "the HTTP library does not start");
  const std::string ca_file = server.ca_file.string();
  std::string password;
  curl_easy_setopt(curl.get(), CURLOPT_CONNECT_ONLY, 1L);
  if (!ca_file.empty()) curl_easy_setopt(curl.get(), CURLOPT_CAINFO, ca_file.c_str());
  if (server.url.starts_with("smtp")) {
    curl_easy_setopt(curl.get(), CURLOPT_USE_SSL, static_cast<long>(CURLUSESSL_ALL));
    if (!server.username.empty()) {
      BOOST_OUTCOME_TRY(read, read_secret(server.password_file));
      password = read;
      curl_easy_setopt(curl.get(), CURLOPT_USERNAME, server.username.c_str());
      curl_easy_setopt(curl.get(), CURLOPT_PASSWORD, password.c_str());
    }
  }
  if (const CURLcode code = curl_easy_perform(curl.get()); code != CURLE_OK) {
    return fail(Errc::unavailable, fmt::format("{} cannot be reached: {}", server.url, reason(code, why)));
  }
  return true;
}

PageFacts probe_page(const PageSettings& page) {
  PageFacts facts;
  facts.enabled = page.enabled;
  facts.url = page.url();
  facts.encrypted = !page.certificate.empty();
  facts.this_machine_only = page.loopback_only();
  facts.secret = !page.token_file.empty();
  if (!page.enabled) return facts;
  char why[CURL_ERROR_SIZE];
  const Curl curl = open_curl(facts.url, why);
  if (!curl) {
    facts.trouble = "the HTTP library does not start";
    return facts;
  }
  // Nothing is trusted to it: who signed the certificate is the browser's affair.
  curl_easy_setopt(curl.get(), CURLOPT_SSL_VERIFYPEER, 0L);
  curl_easy_setopt(curl.get(), CURLOPT_SSL_VERIFYHOST, 0L);
  curl_easy_setopt(curl.get(), CURLOPT_CERTINFO, 1L);
  curl_easy_setopt(curl.get(), CURLOPT_NOPROXY, "*");
  curl_easy_setopt(curl.get(), CURLOPT_WRITEFUNCTION, &ignore);
  if (const CURLcode code = curl_easy_perform(curl.get()); code != CURLE_OK) {
    facts.trouble = reason(code, why);
    return facts;
  }
  facts.certificate_ends = end_of_certificate(curl.get());
  return facts;
}

}  // namespace gyle
