#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "base/time.h"
#include "notices/server_reply.h"

namespace gyle {

struct TransferLimits {
  Duration connect = seconds(15);  // including TLS
  Duration total = seconds(60);
};

// What to send to a checked address (parse_endpoint). An empty `ca_file` trusts the system's certificates,
// another one only its own.
struct HttpPost {
  std::string url;  // http or https
  std::vector<std::string> headers;
  std::string body;
  std::filesystem::path ca_file;
};

struct MailSubmission {
  std::string url;  // smtp (STARTTLS is required) or smtps
  std::string username;
  std::string password;
  std::string from;
  std::vector<std::string> to;
  bool some_recipients = false;  // continue when the server refuses some recipients
  std::string message;
  std::filesystem::path ca_file;
};

// Sends over HTTP or SMTP on a thread of its own, one transfer at a time, each over its own connection.
// Certificates are always verified, redirects never followed; proxies come from the environment.
//   threads  callable from any thread; `done` is called exactly once, on this object's thread
//   end      the destructor aborts the current transfer and returns within a second; it and all queued
//            transfers end as ServerReply::Failure::stopped
class CurlTransfer {
 public:
  explicit CurlTransfer(TransferLimits limits = {});
  ~CurlTransfer();
  CurlTransfer(const CurlTransfer&) = delete;
  CurlTransfer& operator=(const CurlTransfer&) = delete;

  void post(HttpPost post, std::function<void(ServerReply)> done);
  void submit(MailSubmission mail, std::function<void(ServerReply)> done);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace gyle
