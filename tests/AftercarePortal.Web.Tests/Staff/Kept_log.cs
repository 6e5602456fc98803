using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace AftercarePortal.Web.Tests.Staff;

/// <summary>Keeps every log line as it would be written, exceptions whole.</summary>
internal sealed class Kept_log : ILoggerProvider, ILogger
{
    private readonly ConcurrentQueue<string> lines = new();

    public string All => string.Join('\n', lines);

    public ILogger CreateLogger(string categoryName) => this;

    public IDisposable? BeginScope<TState>(TState state) where TState : notnull
    {
        lines.Enqueue($"{state}");       // console writers may print scopes
        return null;
    }

    public bool IsEnabled(LogLevel logLevel) => true;

    public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
        lines.Enqueue($"{logLevel} {formatter(state, exception)} {exception}");

    public void Dispose() { }
}
