#include "control/request_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/buffer.hpp>
#include <boost/beast/http/empty_body.hpp>
#include <boost/beast/http/parser.hpp>
#include <charconv>

#include "base/text.h"

namespace gyle {
namespace {

namespace beast = boost::beast;
namespace http = boost::beast::http;

// Beast throws at a value of 65,534 bytes or more.
constexpr std::size_t kLongestHead = 60'000;

// Digits and nothing else.
std::optional<std::uint64_t> length_in(beast::string_view text) {
  std::uint64_t length = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), length);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return length;
}

}  // namespace

RequestReader::State RequestReader::take(std::string_view bytes) {
  while (!bytes.empty() && state_ != State::complete && state_ != State::refused) {
    if (state_ == State::body) {
      read_body(bytes);
    } else {
      read_head(bytes);
    }
  }
  if (state_ == State::complete) rest_ += bytes;
  return state_;
}

RequestReader::Received RequestReader::release() {
  Received whole = std::move(received_);
  received_ = {};
  state_ = State::between;
  const std::string rest = std::move(rest_);
  rest_.clear();
  take(rest);
  return whole;
}

void RequestReader::refuse(int status, std::string detail) {
  state_ = State::refused;
  refusal_ = {status, std::move(detail)};
  head_ = {};
  received_ = {};
}

void RequestReader::read_head(std::string_view& bytes) {
  state_ = State::head;
  const std::size_t most = std::min(limits_.header_bytes, kLongestHead);
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    const char c = bytes[i];
    const char before = head_.empty() ? '\n' : head_.back();
    if ((before == '\r') != (c == '\n') || c == '\0') {
      return refuse(400, "this is not an HTTP request: its lines must end with CR LF");
    }
    if (before == '\n' && (c == ' ' || c == '\t')) {
      return refuse(400, "this is not an HTTP request: a line must not begin with a space");
    }
    if (head_.size() == most) return refuse(431, fmt::format("headers may have at most {} bytes", most));
    head_ += c;
    if (c != '\n') continue;
    const bool blank = head_.size() - line_ == 2;
    line_ = head_.size();
    if (!blank) continue;
    bytes.remove_prefix(i + 1);
    parse_head();
    head_ = {};
    line_ = 0;
    return;
  }
  bytes = {};
}

void RequestReader::parse_head() {
  http::request_parser<http::empty_body> parser;
  parser.header_limit(static_cast<std::uint32_t>(head_.size() + 1));
  parser.body_limit(std::numeric_limits<std::uint64_t>::max());
  beast::error_code error;
  const std::size_t used = parser.put(boost::asio::buffer(head_), error);
  if (error || !parser.is_header_done() || used != head_.size()) {
    return refuse(400, "this is not an HTTP request: " +
                           (error ? error.message() : std::string("its headers have no end")));
  }
  const auto& message = parser.get();
  const auto codings = message.count(http::field::transfer_encoding);
  const auto lengths = message.count(http::field::content_length);
  if (codings > 0) {
    if (codings > 1 || lengths > 0) {
      return refuse(400, "this is not an HTTP request: the length of its body is given twice");
    }
    if (!beast::iequals(message[http::field::transfer_encoding], "chunked")) {
      return refuse(501, "no transfer encoding is understood here; send the body with a Content-Length");
    }
    return refuse(411, "a body in chunks is not taken here; send it with a Content-Length");
  }
  const auto length =
      lengths == 0 ? std::optional<std::uint64_t>(0) : length_in(message[http::field::content_length]);
  if (lengths > 1 || !length) {
    return refuse(400, "this is not an HTTP request: Content-Length must be one number");
  }
  if (message.count(http::field::host) > 1) {
    return refuse(400, "this is not an HTTP request: it has more than one Host");
  }
  if (*length > limits_.body_bytes) {
    return refuse(413, fmt::format("a body may have at most {} bytes", limits_.body_bytes));
  }
  HttpRequest& request = received_.request;
  request.method = std::string(message.method_string());
  request.target = std::string(message.target());
  request.content_type = std::string(message[http::field::content_type]);
  for (const auto& field : message) {
    const std::string name = lower_case({field.name_string().data(), field.name_string().size()});
    const std::string value(field.value());
    const auto [at, first] = request.headers.try_emplace(name, value);
    if (!first) at->second += (name == "cookie" ? "; " : ", ") + value;
  }
  received_.version = message.version();
  received_.keep_alive = message.keep_alive();
  body_left_ = static_cast<std::size_t>(*length);
  state_ = body_left_ > 0 ? State::body : State::complete;
}

void RequestReader::read_body(std::string_view& bytes) {
  const std::size_t taken = std::min(body_left_, bytes.size());
  received_.request.body += bytes.substr(0, taken);
  bytes.remove_prefix(taken);
  body_left_ -= taken;
  if (body_left_ == 0) state_ = State::complete;
}

}  // namespace gyle
