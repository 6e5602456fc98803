using Microsoft.Bot.Builder;
using Microsoft.Bot.Schema;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>One turn with a patient: their words in, at most one approved text out. No clinical logic lives here.</summary>
internal sealed class PatientBot(Func<CancellationToken, Task<string?>> answer) : ActivityHandler
{
    protected override async Task OnMessageActivityAsync(ITurnContext<IMessageActivity> turnContext, CancellationToken cancellationToken)
    {
        if (await answer(cancellationToken) is { } text) await turnContext.SendActivityAsync(MessageFactory.Text(text), cancellationToken);
    }
}
