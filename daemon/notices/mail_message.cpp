#include "notices/mail_message.h"

#include <fmt/format.h>
#include <openssl/evp.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <chrono>

#include "base/text.h"

// Written by hand although libcurl can do MIME: a message has to be the same at every attempt, and curl_mime draws a new
// boundary each time; it encodes no subject; and its text exists only inside a transfer.
namespace gyle {
namespace {

constexpr std::size_t kLineLength = 76;  // of encoded text: RFC 2045 section 6.7, RFC 2047 section 2

// Cannot occur in quoted-printable (where two digits follow "=") or base64.
constexpr std::string_view kBoundary = "=_gylekeeper";

bool is_alphanumeric(char c) { return static_cast<unsigned char>(c) < 0x80 && std::isalnum(c); }

// RFC 5322 section 3.3.
std::string date_of(Time time) {
  constexpr std::array<const char*, 7> kDays{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
  constexpr std::array<const char*, 12> kMonths{"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  const auto day = std::chrono::floor<std::chrono::days>(time);
  const std::chrono::year_month_day date(day);
  const auto second = std::chrono::floor<seconds>(time - day).count();
  return fmt::format("{}, {:02} {} {:04} {:02}:{:02}:{:02} +0000",
                     kDays[std::chrono::weekday(day).c_encoding()], static_cast<unsigned>(date.day()),
                     kMonths[static_cast<unsigned>(date.month()) - 1], static_cast<int>(date.year()),
                     second / 3600, second / 60 % 60, second % 60);
}

// id-left of RFC 5322 section 3.6.4, unique per id.
std::string message_id(const std::string& id, const std::string& from) {
  std::string left;
  for (const char c : id)
    left += is_alphanumeric(c) || c == '-' ? std::string(1, c)
                                           : fmt::format("_{:02X}", static_cast<unsigned char>(c));
  return fmt::format("<{}{}>", left, from.substr(from.rfind('@')));
}

// Unchanged when short and plain, otherwise encoded words of whole characters (RFC 2047 section 5).
std::string subject_of(const std::string& title) {
  constexpr std::size_t kLongest = 250;
  constexpr std::size_t kWord = 36;  // bytes; 48 in base64, 60 as an encoded word, 69 with "Subject: "
  std::string line = title;
  for (char& c : line) {
    if (static_cast<unsigned char>(c) < 0x20) c = ' ';
  }
  std::string text = displayable(line, kLongest);
  const bool plain = text.size() <= 66 && text.find("=?") == std::string::npos &&
                     std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c < 0x7F; });
  if (plain) return text;
  std::string words;
  while (!text.empty()) {
    const std::string word = displayable(text, kWord);
    words += fmt::format("{}=?utf-8?B?{}?=", words.empty() ? "" : "\r\n ", base64(word));
    text.erase(0, word.size());
  }
  return words;
}

// RFC 2045 section 6.7.
std::string quoted_printable(std::string_view text) {
  std::string out;
  std::size_t length = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\r' && i + 1 < text.size() && text[i + 1] == '\n') continue;
    if (c == '\n') {
      out += "\r\n";
      length = 0;
      continue;
    }
    const bool ends_line = i + 1 == text.size() || text[i + 1] == '\n' || text[i + 1] == '\r';
    const bool plain = (c > ' ' && c < 0x7F && c != '=') || (c == ' ' && !ends_line);
    const std::string piece =
        plain ? std::string(1, c) : fmt::format("={:02X}", static_cast<unsigned char>(c));
    if (length + piece.size() > kLineLength - 1) {
      out += "=\r\n";
      length = 0;
    }
    out += piece;
    length += piece.size();
  }
  return out + "\r\n";
}

std::string base64_lines(std::string_view bytes) {
  const std::string all = base64(bytes);
  std::string out;
  for (std::size_t i = 0; i < all.size(); i += kLineLength) out += all.substr(i, kLineLength) + "\r\n";
  return out;
}

}  // namespace

std::string base64(std::string_view bytes) {
  std::string out((bytes.size() + 2) / 3 * 4 + 1, '\0');  // OpenSSL ends it with a zero
  EVP_EncodeBlock(reinterpret_cast<unsigned char*>(out.data()),
                  reinterpret_cast<const unsigned char*>(bytes.data()), static_cast<int>(bytes.size()));
  out.pop_back();
  return out;
}

bool is_mail_address(std::string_view text) {
  constexpr std::size_t kLongest = 254;  // RFC 5321 section 4.5.3.1.3, without the brackets
  const auto at = text.find('@');
  if (at == text.npos || at == 0 || at > 64 || at + 1 == text.size() || text.size() > kLongest) return false;
  // Atoms and dots (RFC 5322 section 3.2.3).
  const auto is_atom = [](char c) {
    return is_alphanumeric(c) || std::string_view(".!#$%&'*+-/=?^_`{|}~").find(c) != std::string_view::npos;
  };
  return std::all_of(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), is_atom) &&
         std::all_of(text.begin() + static_cast<std::ptrdiff_t>(at) + 1, text.end(),
                     [](char c) { return is_alphanumeric(c) || c == '.' || c == '-'; });
}

std::string mail_message(const Notice& notice, const std::string& from, const std::vector<std::string>& to,
                         bool picture) {
  const std::string text =
      "Content-Type: text/plain; charset=utf-8\r\n"
      "Content-Transfer-Encoding: quoted-printable\r\n\r\n" +
      quoted_printable(notice.text);
  std::string message =
      fmt::format("Date: {}\r\nFrom: {}\r\nTo: {}\r\n", date_of(notice.time), from, fmt::join(to, ",\r\n "));
  message +=
      fmt::format("Subject: {}\r\nMessage-ID: {}\r\n", subject_of(notice.title), message_id(notice.id, from));
  message += "Auto-Submitted: auto-generated\r\nMIME-Version: 1.0\r\n";
  if (!picture || notice.picture_svg.empty()) return message + text;
  message += fmt::format("Content-Type: multipart/mixed; boundary=\"{}\"\r\n\r\n--{}\r\n{}\r\n--{}\r\n",
                         kBoundary, kBoundary, text, kBoundary);
  message +=
      "Content-Type: image/svg+xml; name=\"curve.svg\"\r\n"
      "Content-Disposition: attachment; filename=\"curve.svg\"\r\n"
      "Content-Transfer-Encoding: base64\r\n\r\n";
  return message + base64_lines(notice.picture_svg) + fmt::format("--{}--\r\n", kBoundary);
}

Result<Endpoint> check_email(const EmailSettings& settings) {
  BOOST_OUTCOME_TRY(server, parse_endpoint(settings.server, {"smtps", "smtp"}));
  if (server.rest != "/")
    return fail(Errc::malformed, "expected smtps://HOST[:PORT] or smtp://HOST[:PORT], without a path");
  server.rest.clear();
  if (!server.has_port) server.authority += server.scheme == "smtps" ? ":465" : ":587";
  server.has_port = true;
  if (settings.to.empty()) return fail(Errc::missing, "there is no recipient");
  std::vector<std::string> addresses = settings.to;
  addresses.push_back(settings.from);
  for (const std::string& address : addresses) {
    if (!is_mail_address(address))
      return fail(Errc::malformed, fmt::format("\"{}\" is not a mail address such as brewer@example.org",
                                               displayable(address)));
  }
  if (!is_clean_text(settings.username))
    return fail(Errc::malformed, "the username contains control characters");
  return server;
}

}  // namespace gyle
