#!/usr/bin/perl
# A host written from PROTOCOL.md alone: sets a board up, lights a lamp by a switch, plays the horn.
# For simulation only.
#
#   host.pl tcp HOST PORT | host.pl file PATH [CONTACT LAMP TONE]     (pins; 2, 5 and 8 unless given)
#
# Standard input:  tone 0-2 | silent MS (sends nothing) | noise (a damaged frame) | release
# Standard output: hello CODE BOOT ITEMS, live, contact 0|1, edge N 0|1, flags N, lost, bad N, reset
use strict;
use warnings;
use IO::Select;
use IO::Socket::INET;
use POSIX ();
use Time::HiRes 'time';
use FindBin;
require "$FindBin::Bin/frames.pl";

$| = 1;
my ($how, @where) = @ARGV;
my $port;
if ($how eq 'tcp') {
    $port = IO::Socket::INET->new(PeerAddr => shift @where, PeerPort => shift @where)
        or die "no connection: $!";
    $port->setsockopt(6, 1, 1);    # TCP_NODELAY
} else {
    open $port, '+<:raw', my $path = shift @where or die "no port: $!";
    my $line = POSIX::Termios->new;    # 8 data bits, no parity, nothing translated
    if (defined $line->getattr(fileno $port)) {
        $line->setiflag(0);
        $line->setoflag(0);
        $line->setlflag(0);
        $line->setcflag(POSIX::CS8() | POSIX::CREAD() | POSIX::CLOCAL());
        $line->setattr(fileno $port, POSIX::TCSANOW());
    }
}
$port->blocking(0);
my ($contact, $lamp, $tone) = @where ? @where : (2, 5, 8);

my @items = (
    pack('C3 v3', 0x01, $contact, 0x03, 20, 0,   0),      # pull-up, closed when low
    pack('C3 v3', 0x10, $lamp,    0x04, 0,  0,   0),      # dimmed
    pack('C3 v3', 0x11, $tone,    0x00, 700, 200, 100),
);
my $checksum = crc16(join '', @items);
my $session = 100 + $$ % 100;
my ($state, $step, $said_s, $tries) = ('quiet', 0, time, 0);
my ($hello_s, $began_s, $heard_s, $sent_s, $silent_until_s) = (0, time, 0, 0, 0);
my ($boot_id, $sequence, $next_edge, $newest, $doubt) = (undef, 0, 0, undef, undef);
my ($closed, $brightness, $pattern, $flags, $bad) = (-1, 0, 0, 0, 0);
my $buffer = '';
my $poll = IO::Select->new($port, \*STDIN);

while (1) {
    for my $ready ($poll->can_read(0.005)) {
        if ($ready == \*STDIN) {
            defined(my $line = <STDIN>) or exit;
            order(split ' ', $line);
        } elsif (!sysread $ready, $buffer, 4096, length $buffer) {
            print "gone\n";
            exit 1;
        }
    }
    for my $message (take_frames(\$buffer)) {
        heard($message) if defined $message;
    }
    $buffer = '' if length $buffer > 500;
    work();
}

sub say_message { syswrite $port, encode($_[0]) }

sub order {
    my ($what, $value) = @_;
    if ($what eq 'tone')   { $pattern = $value; command() }
    if ($what eq 'silent') { $silent_until_s = time + $value / 1000 }
    if ($what eq 'noise')  { syswrite $port, "\x05\x01\x02\x03\x04\x05\0" }
    if ($what eq 'release') {
        say_message(pack 'C', 0x06);
        $state = 'released';
        $said_s = time;
    }
}

# The messages of the set-up, one after the other; each waits for its reply.
sub step_message {
    return pack 'C3 v3', 0x02, $session, scalar @items, $checksum, 500, 100 if $step == 0;
    return pack 'C2 a9', 0x03, $step - 1, $items[ $step - 1 ] if $step <= @items;
    return pack 'C v', 0x04, $checksum;
}

sub set_up {
    $session = $session % 255 + 1;
    ($state, $step, $tries) = ('set-up', 0, 0);
    send_step();
}

sub send_step {
    die "no reply to step $step\n" if ++$tries > 12;
    say_message(step_message());
    $said_s = time;
}

sub heard {
    my ($message) = @_;
    my $type = ord $message;
    if ($type == 0x81 && length $message == 10) {
        my ($protocol, $code, $boot, $active, $most) = unpack 'x C C x2 v v C', $message;
        die "protocol $protocol\n" if $protocol != 1;
        if ($state eq 'released') { print "released\n"; exit 0 }
        my $first = !defined $boot_id;
        print "hello $code $boot $most\n" if $first;
        print "reset\n" if !$first && $boot != $boot_id;
        my $restarted = $first || $boot != $boot_id || ($state eq 'live' && !$active);
        $boot_id = $boot;
        set_up() if $restarted;
    } elsif ($type == 0x82 && length $message == 7 && $state eq 'set-up') {
        my ($of, $answers, $index, $status) = unpack 'x C4', $message;
        my ($wanted, $wanted_index) = unpack 'C2', step_message();
        return if $answers != $wanted || ($wanted == 0x03 && $index != $wanted_index);
        return set_up() if $status == 2 && $step;    # it was reset meanwhile
        die "step $step is refused: $status\n" if $status || $of != $session;
        $tries = 0;
        if ($step++ <= @items) { return send_step() }
        ($state, $sequence, $next_edge, $newest, $doubt) = ('live', 0, 0, undef, undef);
        $heard_s = time;
        print "live\n";
        command();
    } elsif ($type == 0x83 && $state eq 'live') {
        report($message);
    }
}

sub report {
    my ($message) = @_;
    my ($of, $number, $answered, $now_flags, $now_bad, $first, $count) = unpack 'x C v2 C2 v C', $message;
    return if $of != $session || length $message != 12 + $count;
    if (defined $newest) {
        my $newer = ($number - $newest) % 65536;
        return if $newer == 0 || $newer > 32767;
    }
    ($newest, $heard_s) = ($number, time);
    print "flags $now_flags\n" if $now_flags != $flags;
    print "bad $now_bad\n"     if $now_bad != $bad;
    ($flags, $bad) = ($now_flags, $now_bad);
    $doubt = ($sequence + 1) % 65536 if $flags & 1;    # history until it names a COMMAND sent since
    if (defined $doubt) {
        if (($answered - $doubt) % 65536 > 32767 || $count == 16) {
            $next_edge = ($first + $count) % 65536;
            return;
        }
        $doubt = undef;
        $next_edge = ($first + $count) % 65536;
        return state_is(unpack 'x11 C', $message);
    }
    my @edges = unpack 'x12 C*', $message;
    for my $place (0 .. $#edges) {
        my $edge = ($first + $place) % 65536;
        my $new = ($edge - $next_edge) % 65536;
        next if $new > 32767;    # it is known
        $next_edge = ($edge + 1) % 65536;
        print "edge $edge ", $edges[$place] >> 7, "\n";
    }
    state_is(unpack 'x11 C', $message);
    command() if @edges;
}

# The lamp follows the switch.
sub state_is {
    my ($now) = @_;
    return if $now == $closed;
    print "contact $now\n";
    ($closed, $brightness) = ($now, $now ? 200 : 0);
    command();
}

sub command {
    return if $state ne 'live' || time < $silent_until_s;
    $sequence = ($sequence + 1) % 65536;
    say_message(pack 'C2 v2 C2', 0x05, $session, $sequence, $next_edge, $brightness, $pattern);
    $sent_s = time;
}

sub work {
    my $now_s = time;
    if ($state eq 'quiet' && $now_s - $began_s > 0.1 && $now_s - $hello_s > 0.5) {
        $hello_s = $now_s;
        say_message(pack 'C2', 0x01, 1);
    }
    send_step() if $state eq 'set-up' && $now_s - $said_s > 0.25;
    if ($state eq 'live') {
        command() if $now_s - $sent_s >= 0.1;
        if ($now_s - $heard_s > 1) {
            print "lost\n";
            ($state, $boot_id, $began_s) = ('quiet', undef, $now_s);
        }
    }
    if ($state eq 'released' && $now_s - $said_s > 0.2) { print "no hello\n"; exit 0 }
}
