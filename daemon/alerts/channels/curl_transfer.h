#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "alerts/far_answer.h"
#include "base/time.h"

namespace gyle {

struct TransferLimits {
  Duration connect = seconds(15);  // to be connected, encryption included
  Duration total = seconds(60);
};

// An address that has been checked (parse_far_address), and what to send there. An empty `ca_file` means the
// certificates that the system trusts, another one only those in it.
struct HttpPost {
  std::string url;  // http or https
  std::vector<std::string> headers;
  std::string body;
  std::filesystem::path ca_file;
};

struct MailSubmission {
  std::string url;  // smtp (STARTTLS is insisted on) or smtps
  std::string username;
  std::string password;
  std::string from;
  std::vector<std::string> to;
  bool any_addressee = false;  // go on when the server takes the message for some only
  std::string message;
  std::filesystem::path ca_file;
};

// Sends one thing after the other over HTTP or SMTP, each over a connection of its own, on a thread of its
// own. Certificates are always verified, redirections never followed; proxies are those of the environment.
//   threads  any thread may call; `done` is called exactly once, on the thread of this
//   end      the destructor breaks off what is under way and returns within a second; that, and what waited,
//            ends as FarAnswer::Failure::stopped
class CurlTransfer {
 public:
  explicit CurlTransfer(TransferLimits limits = {});
  ~CurlTransfer();
  CurlTransfer(const CurlTransfer&) = delete;
  CurlTransfer& operator=(const CurlTransfer&) = delete;

  void post(HttpPost post, std::function<void(FarAnswer)> done);
  void submit(MailSubmission mail, std::function<void(FarAnswer)> done);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace gyle
