using System.Security.Claims;
using System.Security.Principal;
using Microsoft.Bot.Builder;
using Microsoft.Bot.Schema;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Turns one kept message into a bot turn, and the bot's words into stored outgoing texts.</summary>
/// <remarks>The only room that knows the bot library. Nothing leaves the house here: <paramref name="keep"/> stores.</remarks>
internal sealed class SmsAdapter(Func<string, CancellationToken, Task> keep) : BotAdapter
{
    public async Task Turn(MessageRow message, IBot bot, CancellationToken stop)
    {
        var activity = new Activity
        {
            Type = ActivityTypes.Message,
            Id = message.CarrierId,
            ChannelId = "sms",
            ServiceUrl = "urn:sms",
            Text = message.Text,
            From = new(message.From),
            Recipient = new(message.To),
            Conversation = new(id: message.From),
        };
        using var turn = new TurnContext(this, activity);
        turn.TurnState.Add<IIdentity>(BotIdentityKey, new ClaimsIdentity());
        await RunPipelineAsync(turn, bot.OnTurnAsync, stop);
    }

    public override async Task<ResourceResponse[]> SendActivitiesAsync(ITurnContext turnContext, Activity[] activities, CancellationToken cancellationToken)
    {
        foreach (var activity in activities.Where(a => a.Type == ActivityTypes.Message)) await keep(activity.Text, cancellationToken);
        return [.. activities.Select(a => new ResourceResponse(a.Id))];
    }

    public override Task<ResourceResponse> UpdateActivityAsync(ITurnContext turnContext, Activity activity, CancellationToken cancellationToken) =>
        throw new NotSupportedException("A text that was sent cannot be changed.");

    public override Task DeleteActivityAsync(ITurnContext turnContext, ConversationReference reference, CancellationToken cancellationToken) =>
        throw new NotSupportedException("A text that was sent cannot be taken back.");
}
