using Microsoft.Bot.Builder;
using Microsoft.Bot.Schema;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>One turn with a patient: their words in, approved texts out, or none. No clinical logic lives here.</summary>
internal sealed class PatientBot(Func<CancellationToken, Task<IReadOnlyList<string>>> answer) : ActivityHandler
{
    protected override async Task OnMessageActivityAsync(ITurnContext<IMessageActivity> turnContext, CancellationToken cancellationToken)
    {
        foreach (var text in await answer(cancellationToken)) await turnContext.SendActivityAsync(MessageFactory.Text(text), cancellationToken);
    }
}
