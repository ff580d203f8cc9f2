#include "alerts/channels/email_channel.h"

#include "notices/mail_message.h"

namespace gyle {

Result<std::unique_ptr<EmailChannel>> EmailChannel::open(const EmailSettings& settings, std::string password,
                                                         TransferLimits limits) {
  BOOST_OUTCOME_TRY(server, check_email(settings));
  return std::unique_ptr<EmailChannel>(new EmailChannel(settings, server, std::move(password), limits));
}

EmailChannel::EmailChannel(const EmailSettings& settings, Endpoint server, std::string password,
                           TransferLimits limits)
    : settings_(settings),
      server_(std::move(server)),
      password_(std::move(password)),
      // Plain, and as AUTH LOGIN and AUTH PLAIN send it.
      secrets_{password_, base64(password_),
               base64(std::string(1, '\0') + settings.username + std::string(1, '\0') + password_)},
      transfer_(limits) {}

void EmailChannel::send(const Notice& notice, std::function<void(Delivered)> done) {
  submit({.url = server_.shown(),
          .username = settings_.username,
          .password = password_,
          .from = settings_.from,
          .to = settings_.to,
          .some_recipients = false,
          .message = mail_message(notice, settings_.from, settings_.to, settings_.picture),
          .ca_file = settings_.ca_file},
         std::move(done));
}

void EmailChannel::submit(MailSubmission mail, std::function<void(Delivered)> done) {
  const auto judged = [this, mail, done = std::move(done)](const ServerReply& answer) {
    const Delivered delivered = judge_smtp(answer, server_, secrets_);
    const bool partly = delivered.outcome == Delivered::Outcome::refused && !mail.some_recipients &&
                        mail.to.size() > 1 && answer.failure != ServerReply::Failure::login;
    if (!partly) return done(delivered);
    MailSubmission again = mail;
    again.some_recipients = true;
    submit(std::move(again), done);
  };
  transfer_.submit(std::move(mail), judged);
}

}  // namespace gyle
