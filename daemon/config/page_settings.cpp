#include "config/page_settings.h"

#include <arpa/inet.h>
#include <fmt/format.h>

#include <charconv>

#include "config/toml_reader.h"

namespace gyle {
namespace {

constexpr std::string_view kAddressForm =
    "write the address of a network card and a port, \"127.0.0.1:8480\" or \"[::1]:8480\"; \"0.0.0.0:8480\" "
    "and "
    "\"[::]:8480\" are every one of this machine";

struct Listening {
  std::string address;
  std::uint16_t port;
};

Result<Listening> parse_listen(std::string_view text) {
  const auto wrong = [&] {
    return fail(Errc::malformed, fmt::format("\"{}\" is no place to listen at: {}", text, kAddressForm));
  };
  const std::size_t colon = text.rfind(':');
  if (colon == std::string_view::npos) return wrong();
  const std::string_view digits = text.substr(colon + 1);
  std::uint16_t port = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), port);
  if (error != std::errc{} || end != digits.data() + digits.size() || port == 0) return wrong();
  std::string_view host = text.substr(0, colon);
  const bool bracketed = host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (bracketed) host = host.substr(1, host.size() - 2);
  in6_addr parsed{};
  std::string address(host);
  if (::inet_pton(bracketed ? AF_INET6 : AF_INET, address.c_str(), &parsed) != 1) return wrong();
  return Listening{std::move(address), port};
}

Result<std::string> checked_host(std::string_view text) {
  std::string host(text);
  for (char& c : host) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + ('a' - 'A'));
  }
  const bool plain = host.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789.-") == std::string::npos;
  if (plain && !host.empty() && host.size() <= 253 && host.front() != '.' && host.back() != '.') return host;
  return fail(
      Errc::malformed,
      fmt::format("\"{}\" is no name of a machine; write it without http:// and port, as \"cellar.local\"",
                  text));
}

}  // namespace

bool PageSettings::loopback_only() const { return address == "::1" || address.starts_with("127."); }

std::string PageSettings::url() const {
  std::string host = address.find(':') == std::string::npos ? address : "[" + address + "]";
  // A browser cannot open the address for "all"; this machine's own is always among them.
  if (address == "0.0.0.0" || address == "::") host = "localhost";
  return fmt::format("{}://{}:{}/", certificate.empty() ? "http" : "https", host, port);
}

void read_page(TomlTable& table, PageSettings& page) {
  table.read("enabled", page.enabled);
  Listening listening{page.address, page.port};
  table.read_as("listen", listening, parse_listen, "\"127.0.0.1:8480\"");
  page.address = std::move(listening.address);
  page.port = listening.port;
  std::string path;
  if (table.read("token_file", path)) page.token_file = path;
  if (table.read("certificate", path)) page.certificate = path;
  if (table.read("key", path)) page.key = path;
  std::vector<std::string> hosts;
  table.read("hosts", hosts);
  for (const std::string& text : hosts) {
    if (auto host = checked_host(text)) {
      page.hosts.push_back(std::move(host).value());
    } else {
      table.problem("hosts", host.error().message);
    }
  }
  if (page.certificate.empty() != page.key.empty()) {
    table.problem(page.key.empty() ? "certificate" : "key",
                  "certificate and key go together: give both, or neither for a page that is not encrypted");
  }
  if (page.enabled && !page.loopback_only() && page.token_file.empty()) {
    table.problem("listen",
                  "for a page that other machines can reach, a secret is needed: give token_file, or listen "
                  "at \"127.0.0.1:8480\"");
  }
  table.finish();
}

}  // namespace gyle
