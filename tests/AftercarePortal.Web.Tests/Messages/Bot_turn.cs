using AftercarePortal.Web.Features.Messages;
using Microsoft.Bot.Builder;
using Moq;
using NodaTime;
using Xunit;

namespace AftercarePortal.Web.Tests.Messages;

/// <summary>The bot library's own interface is the only thing replaced here.</summary>
public sealed class Bot_turn
{
    private static readonly MessageRow Kept = new()
    {
        ClinicId = Guid.CreateVersion7(), CarrierId = "SM1", From = "+12025550123", To = "+12025550100", Text = "hello 😱", MediaCount = 0, RawForm = "", ReceivedAt = NodaConstants.UnixEpoch, WrittenAt = NodaConstants.UnixEpoch,
    };

    [Fact]
    public async Task Brings_the_bot_the_kept_words_their_sender_and_the_carriers_id()
    {
        var bot = new Mock<IBot>();
        await new SmsAdapter((_, _) => throw new InvalidOperationException("Nothing was said.")).Turn(Kept, bot.Object, default);
        bot.Verify(b => b.OnTurnAsync(
            It.Is<ITurnContext>(t => t.Activity.Text == "hello 😱" && t.Activity.From.Id == "+12025550123" && t.Activity.Id == "SM1"), It.IsAny<CancellationToken>()), Times.Once);
    }

    [Fact]
    public async Task Stores_each_text_the_bot_says_in_order_and_nothing_else()
    {
        var bot = new Mock<IBot>();
        bot.Setup(b => b.OnTurnAsync(It.IsAny<ITurnContext>(), It.IsAny<CancellationToken>())).Returns(async (ITurnContext turn, CancellationToken stop) =>
        {
            await turn.SendActivityAsync(MessageFactory.Text("first"), stop);
            await turn.SendActivityAsync(new Microsoft.Bot.Schema.Activity { Type = Microsoft.Bot.Schema.ActivityTypes.Typing }, stop);
            await turn.SendActivityAsync(MessageFactory.Text("second"), stop);
        });
        var said = new List<string>();
        await new SmsAdapter((text, _) => { said.Add(text); return Task.CompletedTask; }).Turn(Kept, bot.Object, default);
        Assert.Equal(["first", "second"], said);
    }

    [Fact]
    public async Task A_bot_that_fails_is_not_swallowed_so_the_job_is_tried_again()
    {
        var bot = new Mock<IBot>();
        bot.Setup(b => b.OnTurnAsync(It.IsAny<ITurnContext>(), It.IsAny<CancellationToken>())).ThrowsAsync(new TimeoutException());
        await Assert.ThrowsAsync<TimeoutException>(() => new SmsAdapter((_, _) => Task.CompletedTask).Turn(Kept, bot.Object, default));
    }
}
