#include "alerts/channels/curl_transfer.h"

#include <curl/curl.h>
#include <pthread.h>
#include <signal.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <condition_variable>
#include <cstring>
#include <deque>
#include <mutex>
#include <set>
#include <stop_token>
#include <string_view>
#include <thread>
#include <variant>

namespace gyle {
namespace {

using Failure = ServerReply::Failure;

constexpr std::size_t kTextKept = 1024;

struct EasyDeleter {
  void operator()(CURL* easy) const { curl_easy_cleanup(easy); }
};
struct ListDeleter {
  void operator()(curl_slist* list) const { curl_slist_free_all(list); }
};
using Easy = std::unique_ptr<CURL, EasyDeleter>;
using List = std::unique_ptr<curl_slist, ListDeleter>;

List list_of(const std::vector<std::string>& lines) {
  curl_slist* list = nullptr;
  for (const std::string& line : lines) list = curl_slist_append(list, line.c_str());
  return List(list);
}

// The open connections, so that a stop can shut them down: while libcurl waits for an SMTP reply it calls its
// progress callback only once a second.
class Sockets {
 public:
  void end() {
    const std::lock_guard lock(mutex_);
    ended_ = true;
    for (const curl_socket_t socket : open_) shutdown(socket, SHUT_RDWR);
  }
  static curl_socket_t opened(void* user, curlsocktype, curl_sockaddr* address) {
    auto& self = *static_cast<Sockets*>(user);
    const std::lock_guard lock(self.mutex_);
    if (self.ended_) return CURL_SOCKET_BAD;
    const curl_socket_t fd = socket(address->family, address->socktype | SOCK_CLOEXEC, address->protocol);
    if (fd >= 0) self.open_.insert(fd);
    return fd;
  }
  static int closed(void* user, curl_socket_t fd) {
    auto& self = *static_cast<Sockets*>(user);
    const std::lock_guard lock(self.mutex_);
    self.open_.erase(fd);
    return close(fd);
  }

 private:
  std::mutex mutex_;
  std::set<curl_socket_t> open_;
  bool ended_ = false;
};

// One attempt: what is still to send, and what has been received.
struct Attempt {
  std::stop_token stop;
  bool is_mail = false;
  std::string_view unsent;
  ServerReply answer;
  bool reply_ended = true;  // SMTP: the next line begins a new reply
  std::array<char, CURL_ERROR_SIZE> error{};
};

void keep(std::string& text, std::string_view more) {
  text += more.substr(0, kTextKept - std::min(kTextKept, text.size()));
}

std::size_t take_body(const char* data, std::size_t, std::size_t size, void* user) {
  auto& attempt = *static_cast<Attempt*>(user);
  const bool enough = attempt.answer.text.size() >= kTextKept;
  keep(attempt.answer.text, {data, size});
  return enough ? 0 : size;  // 0 aborts the transfer; the status is known by now
}

// "HTTP/1.1 429 Too Many Requests"; there may be several (RFC 9110 section 15.2).
void take_status_line(Attempt& attempt, std::string_view line) {
  if (!line.starts_with("HTTP/")) return;
  const auto code = line.find(' ');
  const auto reason = code == line.npos ? line.npos : line.find(' ', code + 1);
  attempt.answer.reason.clear();
  if (reason != line.npos) keep(attempt.answer.reason, line.substr(reason + 1));
}

// A line of a reply, RFC 5321 section 4.2: "550-text" before the last, "550 text".
void take_reply_line(Attempt& attempt, std::string_view line) {
  const bool is_reply = line.size() >= 3 && std::all_of(line.begin(), line.begin() + 3,
                                                        [](char c) { return c >= '0' && c <= '9'; });
  if (!is_reply) return;
  const int code = (line[0] - '0') * 100 + (line[1] - '0') * 10 + (line[2] - '0');
  if (code == 221) return;  // the reply to QUIT
  ServerReply& answer = attempt.answer;
  if (attempt.reply_ended) {
    if (answer.code >= 400) answer.objection = std::to_string(answer.code) + " " + answer.text;
    answer.text.clear();
  }
  answer.code = code;
  keep(answer.text, line.substr(std::min<std::size_t>(4, line.size())));
  attempt.reply_ended = line.size() < 4 || line[3] != '-';
}

std::size_t take_header(const char* data, std::size_t, std::size_t size, void* user) {
  auto& attempt = *static_cast<Attempt*>(user);
  std::string_view line(data, size);
  while (!line.empty() && (line.back() == '\r' || line.back() == '\n')) line.remove_suffix(1);
  if (attempt.is_mail) {
    take_reply_line(attempt, line);
  } else {
    take_status_line(attempt, line);
  }
  return size;
}

std::size_t give_body(char* buffer, std::size_t, std::size_t room, void* user) {
  auto& unsent = static_cast<Attempt*>(user)->unsent;
  const std::size_t size = std::min(room, unsent.size());
  std::memcpy(buffer, unsent.data(), size);
  unsent.remove_prefix(size);
  return size;
}

int on_progress(void* user, curl_off_t, curl_off_t, curl_off_t, curl_off_t) {
  return static_cast<Attempt*>(user)->stop.stop_requested() ? 1 : 0;
}

Failure failure_of(CURLcode result) {
  switch (result) {
    case CURLE_OK:
      return Failure::none;
    case CURLE_PEER_FAILED_VERIFICATION:
    case CURLE_SSL_CACERT_BADFILE:
    case CURLE_SSL_ISSUER_ERROR:
      return Failure::untrusted;
    case CURLE_USE_SSL_FAILED:
      return Failure::no_tls;
    case CURLE_LOGIN_DENIED:
      return Failure::login;
    case CURLE_URL_MALFORMAT:
    case CURLE_UNSUPPORTED_PROTOCOL:
    case CURLE_BAD_FUNCTION_ARGUMENT:
    case CURLE_UNKNOWN_OPTION:
    case CURLE_NOT_BUILT_IN:
      return Failure::unusable;
    default:
      return Failure::network;
  }
}

}  // namespace

struct CurlTransfer::Impl {
  using Task = std::variant<HttpPost, MailSubmission>;
  struct Job {
    Task task;
    std::function<void(ServerReply)> done;
  };

  explicit Impl(TransferLimits limits_in) : limits(limits_in) {
    static const CURLcode library = curl_global_init(CURL_GLOBAL_DEFAULT);
    if (library == CURLE_OK) multi.reset(curl_multi_init());
    worker = std::jthread([this](std::stop_token stop) { run(std::move(stop)); });
  }

  ~Impl() {
    worker.request_stop();
    worker.join();
  }

  void add(Job job) {
    {
      const std::lock_guard lock(mutex);
      jobs.push_back(std::move(job));
    }
    changed.notify_one();
  }

  void run(std::stop_token stop) {
    // The daemon's signals are for its other threads; SIGPIPE of a broken connection is for none.
    sigset_t all;
    sigfillset(&all);
    pthread_sigmask(SIG_BLOCK, &all, nullptr);
    const std::stop_callback wake(stop, [this] {
      sockets.end();
      if (multi) curl_multi_wakeup(multi.get());
    });
    for (;;) {
      std::unique_lock lock(mutex);
      if (!changed.wait(lock, stop, [this] { return !jobs.empty(); })) return;
      Job job = std::move(jobs.front());
      jobs.pop_front();
      lock.unlock();
      job.done(carry_out(job.task, stop));
    }
  }

  ServerReply carry_out(const Task& task, const std::stop_token& stop) {
    Attempt attempt;
    attempt.stop = stop;
    const Easy easy(curl_easy_init());
    if (!multi || !easy) {
      attempt.answer.failure = Failure::network;
      attempt.answer.failure_text = "out of memory";
      return attempt.answer;
    }
    set_common(easy.get(), attempt);
    const List list = std::visit([&](const auto& work) { return set(easy.get(), work, attempt); }, task);
    const CURLcode result = perform(easy.get(), stop);
    return conclude(easy.get(), attempt, result);
  }

  void set_common(CURL* easy, Attempt& attempt) {
    curl_easy_setopt(easy, CURLOPT_OPENSOCKETFUNCTION, Sockets::opened);
    curl_easy_setopt(easy, CURLOPT_OPENSOCKETDATA, &sockets);
    curl_easy_setopt(easy, CURLOPT_CLOSESOCKETFUNCTION, Sockets::closed);
    curl_easy_setopt(easy, CURLOPT_CLOSESOCKETDATA, &sockets);
    curl_easy_setopt(easy, CURLOPT_NOSIGNAL, 1L);
    curl_easy_setopt(easy, CURLOPT_QUICK_EXIT, 1L);  // a silent name server does not delay a stop
    curl_easy_setopt(easy, CURLOPT_FORBID_REUSE, 1L);
    curl_easy_setopt(easy, CURLOPT_FOLLOWLOCATION, 0L);
    curl_easy_setopt(easy, CURLOPT_CONNECTTIMEOUT_MS, static_cast<long>(limits.connect.count()));
    curl_easy_setopt(easy, CURLOPT_TIMEOUT_MS, static_cast<long>(limits.total.count()));
    curl_easy_setopt(easy, CURLOPT_SERVER_RESPONSE_TIMEOUT,
                     std::max(1L, static_cast<long>(limits.total.count() / 1000)));
    curl_easy_setopt(easy, CURLOPT_SSL_VERIFYPEER, 1L);
    curl_easy_setopt(easy, CURLOPT_SSL_VERIFYHOST, 2L);
    curl_easy_setopt(easy, CURLOPT_SSLVERSION, static_cast<long>(CURL_SSLVERSION_TLSv1_2));
    curl_easy_setopt(easy, CURLOPT_ERRORBUFFER, attempt.error.data());
    curl_easy_setopt(easy, CURLOPT_WRITEFUNCTION, take_body);
    curl_easy_setopt(easy, CURLOPT_WRITEDATA, &attempt);
    curl_easy_setopt(easy, CURLOPT_HEADERFUNCTION, take_header);
    curl_easy_setopt(easy, CURLOPT_HEADERDATA, &attempt);
    curl_easy_setopt(easy, CURLOPT_XFERINFOFUNCTION, on_progress);
    curl_easy_setopt(easy, CURLOPT_XFERINFODATA, &attempt);
    curl_easy_setopt(easy, CURLOPT_NOPROGRESS, 0L);
  }

  static void set_trust(CURL* easy, const std::filesystem::path& ca_file) {
    if (ca_file.empty()) return;
    curl_easy_setopt(easy, CURLOPT_CAINFO, ca_file.c_str());
    curl_easy_setopt(easy, CURLOPT_CAPATH, nullptr);  // otherwise the system's are trusted as well
  }

  // Returns what must live as long as the transfer.
  static List set(CURL* easy, const HttpPost& post, Attempt&) {
    List headers = list_of(post.headers);
    curl_easy_setopt(easy, CURLOPT_PROTOCOLS_STR, "http,https");
    curl_easy_setopt(easy, CURLOPT_URL, post.url.c_str());
    curl_easy_setopt(easy, CURLOPT_HTTP_VERSION, static_cast<long>(CURL_HTTP_VERSION_1_1));
    curl_easy_setopt(easy, CURLOPT_USERAGENT, "gylekeeper");
    curl_easy_setopt(easy, CURLOPT_POST, 1L);
    curl_easy_setopt(easy, CURLOPT_POSTFIELDSIZE_LARGE, static_cast<curl_off_t>(post.body.size()));
    curl_easy_setopt(easy, CURLOPT_POSTFIELDS, post.body.c_str());
    curl_easy_setopt(easy, CURLOPT_HTTPHEADER, headers.get());
    set_trust(easy, post.ca_file);
    return headers;
  }

  static List set(CURL* easy, const MailSubmission& mail, Attempt& attempt) {
    std::vector<std::string> addresses;
    for (const std::string& address : mail.to) addresses.push_back("<" + address + ">");
    List routing = list_of(addresses);
    attempt.is_mail = true;
    attempt.unsent = mail.message;
    curl_easy_setopt(easy, CURLOPT_PROTOCOLS_STR, "smtp,smtps");
    curl_easy_setopt(easy, CURLOPT_URL, mail.url.c_str());
    curl_easy_setopt(easy, CURLOPT_USE_SSL, static_cast<long>(CURLUSESSL_ALL));
    if (!mail.username.empty()) {
      curl_easy_setopt(easy, CURLOPT_USERNAME, mail.username.c_str());
      curl_easy_setopt(easy, CURLOPT_PASSWORD, mail.password.c_str());
    }
    curl_easy_setopt(easy, CURLOPT_MAIL_FROM, ("<" + mail.from + ">").c_str());
    curl_easy_setopt(easy, CURLOPT_MAIL_RCPT, routing.get());
    curl_easy_setopt(easy, CURLOPT_MAIL_RCPT_ALLLOWFAILS, mail.some_recipients ? 1L : 0L);
    curl_easy_setopt(easy, CURLOPT_UPLOAD, 1L);
    curl_easy_setopt(easy, CURLOPT_READFUNCTION, give_body);
    curl_easy_setopt(easy, CURLOPT_READDATA, &attempt);
    curl_easy_setopt(easy, CURLOPT_INFILESIZE_LARGE, static_cast<curl_off_t>(mail.message.size()));
    set_trust(easy, mail.ca_file);
    return routing;
  }

  // Like curl_easy_perform, but ends at once on a stop. It then performs once more, so that on_progress
  // aborts the transfer: libcurl may complete a mail whose handle is only removed.
  CURLcode perform(CURL* easy, const std::stop_token& stop) {
    curl_multi_add_handle(multi.get(), easy);
    CURLcode result = CURLE_ABORTED_BY_CALLBACK;
    for (int running = 1; running != 0;) {
      const bool last = stop.stop_requested();
      if (curl_multi_perform(multi.get(), &running) != CURLM_OK || last) break;
      if (running != 0) curl_multi_poll(multi.get(), nullptr, 0, 1000, nullptr);
    }
    int left = 0;
    if (const CURLMsg* message = curl_multi_info_read(multi.get(), &left); message != nullptr)
      result = message->data.result;
    curl_multi_remove_handle(multi.get(), easy);
    return result;
  }

  static ServerReply conclude(CURL* easy, Attempt& attempt, CURLcode result) {
    ServerReply& answer = attempt.answer;
    const bool stopped = result != CURLE_OK && attempt.stop.stop_requested();
    answer.failure = stopped ? Failure::stopped : failure_of(result);
    if (result != CURLE_OK)
      answer.failure_text = attempt.error[0] != '\0' ? attempt.error.data() : curl_easy_strerror(result);
    if (attempt.is_mail) return answer;
    long code = 0;
    curl_easy_getinfo(easy, CURLINFO_RESPONSE_CODE, &code);
    answer.code = static_cast<int>(code);
    curl_off_t wait_s = 0;  // 0: not given
    if (curl_easy_getinfo(easy, CURLINFO_RETRY_AFTER, &wait_s) == CURLE_OK && wait_s > 0)
      answer.retry_after =
          std::min<Duration>(seconds(std::min<curl_off_t>(wait_s, 1'000'000'000)), days(10'000));
    char* moved_to = nullptr;
    if (curl_easy_getinfo(easy, CURLINFO_REDIRECT_URL, &moved_to) == CURLE_OK && moved_to != nullptr)
      answer.moved_to = moved_to;
    return answer;
  }

  struct MultiDeleter {
    void operator()(CURLM* m) const { curl_multi_cleanup(m); }
  };

  TransferLimits limits;
  Sockets sockets;
  std::unique_ptr<CURLM, MultiDeleter> multi;
  std::mutex mutex;
  std::condition_variable_any changed;
  std::deque<Job> jobs;
  std::jthread worker;  // the last member: it uses the others
};

CurlTransfer::CurlTransfer(TransferLimits limits) : impl_(std::make_unique<Impl>(limits)) {}
CurlTransfer::~CurlTransfer() = default;

void CurlTransfer::post(HttpPost post, std::function<void(ServerReply)> done) {
  impl_->add({std::move(post), std::move(done)});
}

void CurlTransfer::submit(MailSubmission mail, std::function<void(ServerReply)> done) {
  impl_->add({std::move(mail), std::move(done)});
}

}  // namespace gyle
