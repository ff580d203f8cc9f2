#include "notices/webhook_form.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "notices/cloud_event.h"

namespace gyle {
namespace {

// A token of RFC 9110 section 5.6.2.
bool is_header_name(std::string_view name) {
  return !name.empty() && std::all_of(name.begin(), name.end(), [](unsigned char c) {
    return c < 0x80 && (std::isalnum(c) || std::string_view("!#$%&'*+-.^_`|~").find(static_cast<char>(c)) !=
                                               std::string_view::npos);
  });
}

constexpr std::array<std::string_view, 8> kReserved{
    "content-type",         "content-length",      "host",
    "transfer-encoding",    "connection",          "idempotency-key",
    "gylekeeper-timestamp", "gylekeeper-signature"};

Status check_header(const std::string& name, const std::string& value, bool token) {
  if (!is_header_name(name))
    return fail(Errc::malformed,
                fmt::format("\"{}\" is not a valid header name; write for example \"Subject: {{title}}\"",
                            displayable(name)));
  const std::string small = lower_case(name);
  if (std::find(kReserved.begin(), kReserved.end(), small) != kReserved.end())
    return fail(Errc::malformed, fmt::format("the header {} is set automatically{}", name,
                                             small == "content-type" ? "; use content_type" : ""));
  if (token && small == "authorization")
    return fail(Errc::malformed, "the token sets the header Authorization; remove one of them");
  if (!is_clean_text(value))
    return fail(Errc::malformed,
                fmt::format("the header {} contains control characters or invalid UTF-8", name));
  return success();
}

// Values that need escaping in JSON.
Notice difficult_notice() {
  Notice notice{};
  for (std::string Notice::*part : {&Notice::id, &Notice::kind, &Notice::state, &Notice::vessel,
                                    &Notice::batch, &Notice::sensor, &Notice::title, &Notice::text})
    notice.*part = "\"quoted\" \\ and\nbroken";
  return notice;
}

}  // namespace

Result<WebhookForm> WebhookForm::parse(const WebhookSettings& settings) {
  WebhookForm form;
  BOOST_OUTCOME_TRY(address, parse_endpoint(settings.url, {"http", "https"}));
  form.address_ = address;
  for (const std::string& line : settings.headers) {
    const std::size_t colon = std::min(line.find(':'), line.size());
    const std::string name = line.substr(0, colon);
    const std::string value = line.substr(std::min(colon + 1, line.size()));
    BOOST_OUTCOME_TRYV(check_header(name, value, !settings.token_file.empty()));
    BOOST_OUTCOME_TRY(parsed, BodyTemplate::parse(value));
    form.headers_.emplace_back(name, parsed);
  }
  if (settings.body.empty()) {
    form.content_type_ = std::string(kCloudEventType) + "; charset=utf-8";
    return form;
  }
  if (settings.content_type.empty() || !is_clean_text(settings.content_type))
    return fail(Errc::malformed, "content_type must be a media type such as \"application/json\"");
  form.content_type_ = settings.content_type;
  BOOST_OUTCOME_TRY(body, BodyTemplate::parse(settings.body));
  if (insert_for(form.content_type_) == Insert::json &&
      !nlohmann::json::accept(body.fill(difficult_notice(), Insert::json)))
    return fail(Errc::malformed,
                "body is not JSON with its placeholders filled in; put them inside quotation marks: "
                R"({"message": "{text}"})");
  form.body_.push_back(body);
  return form;
}

std::string WebhookForm::body(const Notice& notice) const {
  return body_.empty() ? cloud_event(notice) : body_.front().fill(notice, insert_for(content_type_));
}

std::vector<std::string> WebhookForm::headers(const Notice& notice) const {
  std::vector<std::string> lines{"Content-Type: " + content_type_,
                                 "Idempotency-Key: " + displayable(notice.id, notice.id.size())};
  for (const auto& [name, value] : headers_) {
    const std::string filled(trimmed(value.fill(notice, Insert::header)));
    if (!filled.empty()) lines.push_back(name + ": " + filled);
  }
  return lines;
}

}  // namespace gyle
